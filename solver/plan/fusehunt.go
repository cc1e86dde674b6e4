package plan

import (
	"slices"

	"ohmtrail/circuits"
	"ohmtrail/solver/rank"
)

// fuseHunt are the readings that find a short before the next fuse: with the fuse out and the key off, ohms from either of its cavities to
// B-, as it stands and with each plug on that copper apart, one at a time (common practice, no source). A meter that reads a battery
// there reads nonsense, and the weighing knows.
func fuseHunt(r *rank.Ranking) []circuits.Reading {
	c := r.Job.Circuit
	if c.Pyrotechnic {
		return nil
	}
	var out []circuits.Reading
	for _, fuse := range fusesGone(r, fuseGoneOdds) {
		copper := circuits.Join(c.Joints([]string{fuse}))
		for _, t := range c.Device(fuse).Terminals {
			side := circuits.Point{Place: fuse, Cavity: t.Cavity}
			apart := [][]string{{fuse}}
			for i := range c.Contacts {
				k := &c.Contacts[i]
				plug := c.PlugOf(k.First)
				if plug != fuse && copper.Joined(side, k.First) && !slices.ContainsFunc(apart, func(a []string) bool { return a[len(a)-1] == plug }) {
					apart = append(apart, []string{fuse, plug})
				}
			}
			for _, plugs := range apart {
				slices.Sort(plugs)
				out = append(out, circuits.Reading{At: circuits.PointLocation(side), To: circuits.BNegative, Quantity: circuits.Ohms,
					State: circuits.State{Key: circuits.KeyOff, Unplugged: plugs}})
			}
		}
	}
	return out
}

// fusesGone are the fuses that are gone by at least those odds: open inside, or blown by a short.
func fusesGone(r *rank.Ranking, least float64) []string {
	odds := map[string]float64{}
	for _, c := range r.Candidates {
		f := c.Fault
		gone := slices.Clip(c.Gone())
		if d := r.Job.Circuit.Device(f.At.From.Place); d != nil && d.Kind == circuits.Fuse && f.Kind == circuits.DeviceInside && f.Words == circuits.OpenInside {
			gone = append(gone, d.Name)
		}
		for _, name := range gone {
			odds[name] += c.Probability
		}
	}
	var out []string
	for i := range r.Job.Circuit.Devices {
		if name := r.Job.Circuit.Devices[i].Name; odds[name] >= least {
			out = append(out, name)
		}
	}
	return out
}
