package plan

import (
	"math"

	"ohmtrail/circuits"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/rank"
)

// bypasses are the confirming tests of the leading places: a jumper past the suspect wire or contact, and the module's
// value watched. If the place is at fault the value comes right; if not, nothing changes.
func bypasses(r *rank.Ranking) []circuits.Reading {
	if r.Job.Circuit.Pyrotechnic {
		return nil
	}
	c := r.Job.Circuit
	var out []circuits.Reading
	tried := map[circuits.Location]bool{}
	for _, k := range r.Candidates {
		if len(tried) >= 4 || k.Probability < 0.03 {
			break
		}
		f := k.Fault
		if f.Kind != circuits.Open && f.Kind != circuits.HighResistance || tried[f.At] {
			continue
		}
		ends, ok := jumperEnds(c, f.At)
		if !ok {
			continue
		}
		tried[f.At] = true
		for _, p := range inputPins(c) {
			out = append(out, circuits.Reading{At: circuits.PointLocation(p), To: circuits.BNegative, Quantity: circuits.ScanVolts,
				State: circuits.State{Key: circuits.KeyOn, Jumpers: [][2]circuits.Point{ends}}})
		}
	}
	return out
}

// jumperEnds are the points at which a jumper bridges a wire or a contact from the outside.
func jumperEnds(c *circuits.Circuit, at circuits.Location) (ends [2]circuits.Point, ok bool) {
	if w := c.Wire(at); w != nil {
		return [2]circuits.Point{w.From, w.To}, true
	}
	k := c.Contact(at)
	if k == nil || c.Connector(k.Place) == nil {
		return ends, false // a part's own pin cannot be reached while it is plugged in
	}
	return [2]circuits.Point{k.First, k.Second}, true
}

// inputPins are the pins whose values a scan tool shows.
func inputPins(c *circuits.Circuit) []circuits.Point {
	var out []circuits.Point
	for _, m := range c.Modules {
		for _, p := range m.Pins {
			if p.Kind == circuits.PinInput {
				out = append(out, p.Point())
			}
		}
	}
	return out
}

// confirms tells whether a reading would show the opposite if the leading place were not the one: what the leading place
// predicts and what all others predict lie apart.
func confirms(r *rank.Ranking, rays []evidence.Ray, places placeIndex) bool {
	if len(r.Candidates) == 0 {
		return false
	}
	weight := map[int]float64{}
	for _, ray := range rays {
		weight[ray.Group] += ray.Weight
	}
	leading := byWeight(weight)[0]
	if places.places[leading] == (hypothesis.Place{}) {
		return false
	}
	own, other := 0.0, 0.0
	for _, a := range rays {
		if a.Group == leading {
			continue
		}
		apartFrom := true
		for _, b := range rays {
			if b.Group != leading || a.Discrete != b.Discrete {
				continue
			}
			if a.Discrete != 0 || math.Abs(a.Mean-b.Mean) < bandGap*math.Hypot(a.SD, b.SD) {
				apartFrom = false
				break
			}
		}
		other += a.Weight
		if apartFrom {
			own += a.Weight
		}
	}
	return other > 0 && own > 0.9*other
}

// Standing is how far a plan has come.
type Standing uint8

// How far a plan has come. From Impossible to Stuck nothing more is to be measured.
const (
	Open          Standing = iota // the readings do not decide yet
	NotConfirmed                  // one place is all but certain, and no reading has been taken that would show the opposite
	Impossible                    // no fault is possible here
	Likely                        // one place is proven by its odds
	ShownOpposite                 // one place is proven by a reading that would have shown the opposite
	RepairNow                     // a further reading costs more than it would save
	Stuck                         // no reachable reading tells more
)

// decide says how far the plan has come.
func decide(r *rank.Ranking, p *Plan) {
	p.Standing = p.standing(r)
	p.Done = p.Standing >= Impossible
	p.Proven = p.Standing == Likely || p.Standing == ShownOpposite
}

func (p *Plan) standing(r *rank.Ranking) Standing {
	if len(p.Remaining) == 0 {
		return Impossible
	}
	top := p.Remaining[0]
	listed := !top.Place.First.Unlisted
	quiet := top.Place == (hypothesis.Place{})
	switch {
	case listed && top.Probability >= proven && !quiet:
		return Likely
	case listed && top.Probability >= confirmed && !quiet && r.Confirmed():
		return ShownOpposite
	case !p.pays && !quiet && r.Groups[0].Probability >= confirmed && top.Place.Known():
		return RepairNow
	case len(p.Suggestions) == 0:
		return Stuck
	case top.Probability >= confirmed && !quiet:
		return NotConfirmed
	}
	return Open
}
