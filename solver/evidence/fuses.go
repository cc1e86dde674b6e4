package evidence

import (
	"math"

	"ohmtrail/circuits"
	"ohmtrail/solver/network"
)

// A short that blows a fuse leaves it blown. At a reading under which the fuse would hold, with the key off or a plug apart, it is gone all
// the same, unless somebody has put in a new one; so a short is weighed both ways, and a fuse that is found gone speaks for the shorts
// that would have blown it as it does for the fuse.

// stillGone is the chance that nobody has put in a new fuse between the readings (ours).
const stillGone = 0.5

// fuses are what a job knows of the circuit's fuses.
type fuses struct {
	whole *network.Scene    // everything plugged in and switched on, where a short blows what it blows
	felt  map[string][]bool // by fuse and observation: a sound machine without the fuse shows something else
}

// findFuses finds which observations feel that a fuse is gone.
func (w *Scales) findFuses() {
	if w.j.Intermittent {
		return
	}
	for i := range w.j.Circuit.Devices {
		d := &w.j.Circuit.Devices[i]
		if d.Kind != circuits.Fuse {
			continue
		}
		felt, any := make([]bool, len(w.obs)), false
		for k := range w.obs {
			if o := &w.obs[k]; !o.sound {
				var c network.Case
				var p network.Prediction
				c.Place(o.scenes[0], circuits.Single{})
				c.Blow([]string{d.Name})
				c.Value(0, &p)
				felt[k] = feels(o, &p, &o.healthy[0])
				any = any || felt[k]
			}
		}
		if !any {
			continue
		}
		if w.fuses.felt == nil {
			w.fuses.felt = map[string][]bool{}
			set := map[string]float64{}
			for i := range w.j.Circuit.Devices {
				set[w.j.Circuit.Devices[i].Name] = w.j.Circuit.Devices[i].Nominal()
			}
			posts := circuits.Reading{At: circuits.PointLocation(circuits.BPositive), To: circuits.BNegative, Quantity: circuits.Volts, State: circuits.State{Key: circuits.KeyOn}}
			w.fuses.whole = w.layout.Frame(w.j.Meter, posts).Scene(set)
		}
		w.fuses.felt[d.Name] = felt
	}
}

// blows names the fuses that a short blows as the machine stands, of those that some observation feels.
func (b *bench) blows(f circuits.Single, ohms float64) []string {
	inside := f.Kind == circuits.DeviceInside && f.Words == circuits.ShortedInside
	if b.w.fuses.whole == nil || f.Kind != circuits.ShortToGround && f.Kind != circuits.ShortBetween && !inside {
		return nil
	}
	b.single.Place(b.w.fuses.whole, f)
	b.single.Value(ohms, &b.pred)
	var out []string
	for _, name := range b.single.BlownFuses() {
		if b.w.fuses.felt[name] != nil {
			out = append(out, name)
		}
	}
	return out
}

// Gone names the fuses that a weighed fault has blown, where the readings say so rather than that new ones are in.
func (x *Weighed) Gone() []string { return x.bestCell().gone }

// byFuses adds to a strip that the fuses which it blows may be gone at all readings.
func (b *bench) byFuses(f circuits.Single, c *cell) {
	gone := b.blows(f, c.ohms(f))
	if len(gone) == 0 {
		return
	}
	one := *c
	one.gone = gone
	b.strip(f, &one)
	sum := logAdd(c.logL+math.Log(1-stillGone), one.logL+math.Log(stillGone))
	if one.logL > c.logL {
		*c = one
	}
	c.logL = sum
}

// put places a fault in a network of an observation, with the fuses gone that are.
func (b *bench) put(c *network.Case, s *network.Scene, i int, f circuits.Single) {
	c.Place(s, b.faultAt(i, f))
	if !b.w.obs[i].sound {
		c.Blow(b.gone)
	}
}
