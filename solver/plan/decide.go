package plan

import (
	"fmt"
	"math"
	"strings"

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

// decide says whether the plan is done, and why or what is left.
func decide(r *rank.Ranking, p *Plan) {
	if len(p.Remaining) == 0 {
		p.Done, p.Reason = true, "no fault is possible here"
		return
	}
	top := p.Remaining[0]
	listed := !top.Place.First.Unlisted
	quiet := top.Place == (hypothesis.Place{})
	switch {
	case listed && top.Probability >= proven && !quiet:
		p.Done, p.Proven = true, true
		p.Reason = fmt.Sprintf("proven: %s (%s), %s", top.Place, top.Leading, tenths(top.Probability))
	case listed && top.Probability >= confirmed && !quiet && r.Confirmed():
		p.Done, p.Proven = true, true
		p.Reason = fmt.Sprintf("proven by a reading that would have shown the opposite: %s (%s), %s", top.Place, top.Leading, tenths(top.Probability))
	case !p.pays && !quiet && r.Groups[0].Probability >= confirmed && top.Place.Known():
		p.Done = true
		p.Reason = repairNow(r, p.Remaining)
	case len(p.Suggestions) == 0:
		p.Done = true
		p.Reason = stuck(r, p.Remaining)
	default:
		p.Reason = fmt.Sprintf("not decided: %s is likeliest with %.0f %%", top.Leading, 100*top.Probability)
		if top.Place.Known() {
			p.Reason = fmt.Sprintf("not decided: the likeliest place is %s with %.0f %%", top.Place, 100*top.Probability)
		} else if quiet && top.Probability < 0.5 {
			p.Reason = fmt.Sprintf("not decided: that nothing is wrong has %.0f %%, and no place has more", 100*top.Probability)
		}
		if r.Returning != nil && r.Returning.Probability >= 0.5 {
			p.Reason = "not decided: nothing that is there now explains " + strings.Join(r.Returning.Codes, ", ")
		}
		if top.Probability >= confirmed && !quiet {
			p.Reason = fmt.Sprintf("%s has %.0f %%, not proven yet: take a reading that would show the opposite if it were wrong", top.Leading, 100*top.Probability)
		}
	}
}

// tenths is a probability to a tenth of a per cent; nothing is ever certain.
func tenths(p float64) string {
	if p >= 0.9995 {
		return "over 99.9 %"
	}
	return fmt.Sprintf("%.1f %%", 100*p)
}

// repairNow says that measuring on costs more than it saves, and in which order to repair and check.
func repairNow(r *rank.Ranking, remaining []rank.PlaceOdds) string {
	names := placeNames(remaining)
	if len(names) == 1 {
		return fmt.Sprintf("repair %s and check: a further reading costs more than it would save", names[0])
	}
	return fmt.Sprintf("the fault is %s or electrically the same; measuring on costs more than trying: repair and check in the order %s", r.Candidates[0].Name(), strings.Join(names, ", "))
}

// placeNames are the places that matter, with their odds.
func placeNames(remaining []rank.PlaceOdds) []string {
	var names []string
	for _, p := range remaining {
		if p.Probability < 0.02 || len(names) == 5 {
			break
		}
		names = append(names, fmt.Sprintf("%s (%.0f %%)", p.Place, 100*p.Probability))
	}
	return names
}

// stuck says which places remain when nothing reachable tells them apart, and which one repair covers most.
func stuck(r *rank.Ranking, remaining []rank.PlaceOdds) string {
	names := placeNames(remaining)
	if len(names) == 0 {
		return "no reachable reading tells more"
	}
	if len(names) == 1 {
		return "no reachable reading tells more: what remains is " + names[0]
	}
	return fmt.Sprintf("no reachable reading tells these apart: %s; begin with %s, which covers most", strings.Join(names, ", "), remaining[0].Place)
}
