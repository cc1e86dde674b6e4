package plan

import (
	"math"
	"slices"

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
	return apart(r, rays, places) > 0.9
}

// apart is the share of what speaks against the leading place that a reading would show apart from all that the leading place shows.
func apart(r *rank.Ranking, rays []evidence.Ray, places placeIndex) float64 {
	if len(r.Candidates) == 0 {
		return 0
	}
	weight := map[int]float64{}
	for _, ray := range rays {
		weight[ray.Group] += ray.Weight
	}
	leading := byWeight(weight)[0]
	if places.places[leading] == (hypothesis.Place{}) {
		return 0
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
	if other == 0 {
		return 0
	}
	return own / other
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

const (
	// partsBits is how much a reading tells that parts the leading places.
	partsBits = 0.3
)

func (p *Plan) standing(r *rank.Ranking) Standing {
	if len(p.Remaining) == 0 {
		return Impossible
	}
	top := p.Remaining[0]
	listed := !top.Place.First.Unlisted
	quiet := top.Place == (hypothesis.Place{})
	decided := listed && !quiet && (top.Probability >= proven || top.Probability >= confirmed && r.Confirmed())
	switch {
	case decided && p.refutes(r):
		return NotConfirmed
	case listed && top.Probability >= proven && !quiet:
		return Likely
	case decided:
		return ShownOpposite
	case !p.pays && !quiet && r.Groups[0].Probability >= confirmed && top.Place.Known() && !p.parts(r):
		return RepairNow
	case len(p.Suggestions) == 0:
		return Stuck
	case top.Probability >= confirmed && !quiet:
		return NotConfirmed
	}
	return Open
}

// refutes tells whether all that was read is what a scan tool shows, and a meter can show the opposite within a few minutes: no part is
// condemned on scan values alone. That reading is put first.
func (p *Plan) refutes(r *rank.Ranking) bool {
	if !scanned(r) {
		return false
	}
	s, ok := opposite(r)
	if !ok {
		return false
	}
	p.Suggestions = append([]Suggestion{s}, slices.DeleteFunc(p.Suggestions, func(x Suggestion) bool {
		return circuits.ReadingKey(x.Reading) == circuits.ReadingKey(s.Reading)
	})...)
	return true
}

// opposite is the meter's reading within a few minutes that would show the opposite if the leading place were not the one: what it shows
// apart of all that speaks against that place, a minute. A sound machine counts however unlikely it is.
func opposite(r *rank.Ranking) (best Suggestion, ok bool) {
	const least = 0.2
	particles, places := r.FineParticles(), newPlaceIndex(r)
	most := 0.0
	for _, reading := range open(r) {
		minutes := r.Job.Circuit.Minutes(reading, r.Job.Reached())
		if reading.Quantity == circuits.ScanVolts || minutes > fewMinutes {
			continue
		}
		rays, live := evidence.Rays(r.Job, particles, reading)
		places.gather(rays)
		share := apart(r, rays, places)
		if live >= 0.2 || share < least || share/minutes <= most {
			continue
		}
		most, ok = share/minutes, true
		misread, span := evidence.Misreadings(r.Job, reading)
		best = Suggestion{Reading: reading, Minutes: minutes, GainBits: Gain(rays, misread, span), Confirms: share > 0.9, Outcomes: bands(r, reading, rays, places)}
		best.Saves = places.saves(rays, best.Outcomes)
	}
	return best, ok
}

// parts tells whether a reading within a few minutes parts the leading places; it need not tell much where it clears the wires of a part
// that would be replaced, or where no meter has been used yet.
func (p *Plan) parts(r *rank.Ranking) bool {
	if r.Job.Intermittent {
		return false // a clean look parts nothing
	}
	least := partsBits
	fromScan := scanned(r)
	if fromScan || len(notYet(r)) > 0 {
		least = WorthBits
	}
	for _, s := range p.Suggestions {
		if s.Minutes <= fewMinutes && s.GainBits >= least && !(fromScan && s.Reading.Quantity == circuits.ScanVolts && s.GainBits < partsBits) {
			return true
		}
	}
	return false
}
