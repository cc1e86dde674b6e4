package evidence

import (
	"math"

	"ohmtrail/circuits"
	"ohmtrail/solver/hypothesis"
)

// What moving a place by hand makes of an intermittent fault, as chances that the value jumps while it is moved (ours;
// that moving the bad place makes the value jump is common practice, no source). A jump while a place is moved multiplies
// the odds of a fault there by 0.6/0.03 = 20 against one out of reach, of a fault nearby by 7; moving without effect by
// 0.4/0.97 = 0.41 and 0.82: evidence against, and weaker.
const (
	JumpsMoved     = 0.60 // the fault is at the place that is moved
	jumpsNear      = 0.20 // it is within reach of that hand
	JumpsElsewhere = 0.03 // a coincidence
	jumpsUnfelt    = 0.02 // the value does not feel the fault at all: something else makes it jump
	// repeatedJump is how much of the first movement's weight each further one of the same place keeps: it would jump
	// again for the same reason.
	repeatedJump = 0.5
)

// reachMetres is how far along a wire a hand reaches that moves what the wire ends at (ours).
const reachMetres = 0.3

// JumpChance is the chance that the value of a fault that comes and goes jumps while a place is moved by hand. A wire that ends there is moved as far as the
// hand reaches; at the other end of a wire no longer than that something is moved too.
func JumpChance(c *circuits.Circuit, moved circuits.Location, f circuits.Single) float64 {
	most := JumpsElsewhere
	for _, l := range []circuits.Location{f.At, f.To} {
		if l.IsZero() {
			continue
		}
		part := circuits.Single{Kind: f.Kind, At: l}
		switch {
		case l == moved:
			return JumpsMoved
		case l.IsWire() && endsAt(c, l, moved):
			share := min(1, reachMetres/c.Wire(l).LengthM)
			most = max(most, share*JumpsMoved+(1-share)*JumpsElsewhere)
		case !l.IsWire() && hypothesis.Touches(c, moved, part):
			return JumpsMoved
		case !l.IsWire() && beside(c, moved, l):
			most = max(most, jumpsNear)
		}
	}
	return most
}

// endsAt tells whether a wire ends at the place that is moved.
func endsAt(c *circuits.Circuit, wire, moved circuits.Location) bool {
	if c.Wire(wire) == nil || moved.IsWire() {
		return false
	}
	for _, p := range []circuits.Point{wire.From, wire.To} {
		if p.Place == moved.From.Place && (moved.From.Cavity == "" || p.Terminal() == moved.From.Terminal()) || c.PlugOf(p) == moved.From.Place {
			return true
		}
	}
	return false
}

// beside tells whether a place lies within reach of the hand that moves another: at an end of the wire that is moved, or
// at the other end of a short wire that ends at the place moved.
func beside(c *circuits.Circuit, moved, place circuits.Location) bool {
	ends := func(w *circuits.Wire, name string) bool { return w.From.Place == name || w.To.Place == name }
	if moved.IsWire() {
		w := c.Wire(moved)
		return w != nil && ends(w, place.From.Place)
	}
	for i := range c.Wires {
		w := &c.Wires[i]
		if w.LengthM <= reachMetres && endsAt(c, w.Location, moved) && ends(w, place.From.Place) {
			return true
		}
	}
	return false
}

// placeEvidence is the logarithm of what moving the harness by hand says about a fault's place, against a fault out of
// reach. A value that the fault does not move says nothing of it, nor does one that it must take for a misreading.
func (w *Scales) placeEvidence(x *Weighed) float64 {
	f := x.Fault
	if f.Kind == circuits.Healthy || f.Kind == circuits.Unlisted || hypothesis.Steady(f) || x.Unfelt {
		return 0
	}
	sum := 0.0
	times := map[string]int{}
	for i := range w.obs {
		o := &w.obs[i]
		if o.r.Wiggle == "" || o.trembled || !o.pair && !w.j.Intermittent {
			continue
		}
		at, err := w.j.Circuit.Somewhere(o.r.Wiggle)
		if err != nil {
			continue
		}
		felt := x.feels(o, i)
		if felt < 0.01 {
			continue
		}
		weight := math.Pow(repeatedJump, float64(times[o.r.Wiggle]))
		times[o.r.Wiggle]++
		p := JumpChance(w.j.Circuit, at, f)
		factor := (1 - p) / (1 - JumpsElsewhere)
		if o.pair {
			factor = p / JumpsElsewhere
		}
		sum += weight * math.Log(1-felt+felt*factor)
	}
	return sum
}

// feels is the share in which a fault moves an observation: of a value that jumped, that this fault made it jump; of one that
// stayed, that it would have moved it by more than the meter's error.
func (x *Weighed) feels(o *observation, i int) float64 {
	if !o.pair {
		if x.felt == nil {
			return 0
		}
		return x.felt[i]
	}
	total, share := x.total(), 0.0
	if math.IsInf(total, -1) {
		return 0
	}
	for _, c := range x.cells {
		low, high := o.ends(c.mean[i], c.high, i)
		if high-low > Apart*o.sigma || math.IsNaN(low) || math.IsNaN(high) { // a value beside none, or beside OL
			share += math.Exp(c.logPrior+c.logL-total) * (1 - c.miss[i])
		}
	}
	return min(share, 1)
}

// ends are the lower and upper value that a fault predicts for a reading that moved. high is what byTurns found; without
// it the fault makes one end and the healthy circuit the other.
func (o *observation) ends(mean float64, high []float64, i int) (low, top float64) {
	if high != nil {
		return mean, high[i]
	}
	far := o.value
	if math.Abs(mean-o.value) < math.Abs(mean-o.high) {
		far = o.high
	}
	well := math.NaN()
	for k := range o.healthy {
		if v := o.healthy[k].Value; math.IsNaN(well) || math.Abs(v-far) < math.Abs(well-far) {
			well = v
		}
	}
	return min(mean, well), max(mean, well)
}

// gap is how far what was read lies from what is predicted, in standard deviations: of a reading that moved, the worse end.
func (o *observation) gap(predicted, high float64) float64 {
	g := (o.value - predicted) / o.sigma
	if o.pair && !o.r.OL && !math.IsNaN(high) {
		if h := (o.high - high) / o.sigmaHigh; math.Abs(h) > math.Abs(g) {
			return h
		}
	}
	return g
}
