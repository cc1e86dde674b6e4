package worksheet

import (
	"errors"
	"slices"
	"sort"

	"ohmtrail/circuits"
	"ohmtrail/solver/plan"
	"ohmtrail/solver/rank"
)

// Next offers some readings of which one tells the most per minute.
type Next struct {
	Taken   []circuits.Reading // what is known
	Truth   circuits.Fault     // what they come from; not the answer
	Offered []Offer            // in the order of their letters
	Answer  int
	Means   []string // what the outcomes of the best one would mean
	Open    []rank.PlaceOdds
}

// Offer is one reading that could be taken.
type Offer struct {
	Reading circuits.Reading
	Bits    float64
	Minutes float64
}

// PerMinute is what a reading tells for a minute of work.
func (o Offer) PerMinute() float64 { return o.Bits / o.Minutes }

const (
	offeredReadings = 4
	clearlyBetter   = 1.3  // times the second best, for there is one right answer
	nothingTold     = 0.02 // bits
)

func (m *maker) next() (*Next, error) {
	for n, i := range m.order(5) {
		f := circuits.Fault{First: m.pool[i]}
		if n > mostTries {
			break
		}
		if m.used[f.WithoutOhms()] || !m.seen(f) {
			continue
		}
		if out := m.choice(f); out != nil {
			m.used[f.WithoutOhms()] = true
			return out, nil
		}
	}
	return nil, errors.New(say("error.next"))
}

// choice takes first readings under a fault until something is known to be wrong, and offers what could follow.
func (m *maker) choice(f circuits.Fault) *Next {
	j := bare(m.job)
	for len(j.Readings) < 3 {
		r := rank.Rank(j)
		plan := plan.Next(&r)
		taken, ok := m.take(j, plan, f)
		if !ok {
			return nil
		}
		j.Readings = append(j.Readings, taken)
		if healthy := r.Places(); len(healthy) == 0 {
			return nil
		}
		if well, ok := read(j, unread(taken), circuits.Fault{}); ok && circuits.ReadingKey(well) != "" && (well.OL != taken.OL || abs(well.Value-taken.Value) > differs) {
			break
		}
	}
	r := rank.Rank(j)
	plan := plan.Next(&r)
	if plan.Done || len(plan.Suggestions) == 0 || len(plan.Remaining) < 3 {
		return nil
	}
	return m.offered(j, r, plan, f)
}

func unread(r circuits.Reading) circuits.Reading {
	r.Taken, r.Value, r.High, r.OL = false, 0, 0, false
	return r
}

func abs(v float64) float64 { return max(v, -v) }

// offered chooses what stands beside the best reading: the one that tells most whatever it costs, one that tells nothing
// and one in between.
func (m *maker) offered(j *circuits.Job, r rank.Ranking, next plan.Plan, f circuits.Fault) *Next {
	all := plan.All(&r)
	plain := all[:0:0]
	for _, s := range all {
		if s.Reading.Quantity != circuits.Amps && s.Reading.Wiggle == "" && !takenAlready(j.Readings, s.Reading) && s.Minutes > 0 {
			plain = append(plain, s)
		}
	}
	sort.SliceStable(plain, func(a, b int) bool { return per(plain[a]) > per(plain[b]) })
	if len(plain) < offeredReadings || circuits.ReadingKey(plain[0].Reading) != circuits.ReadingKey(next.Suggestions[0].Reading) {
		return nil
	}
	best := plain[0]
	random := m.chance(6)
	var dear, idle, between []plan.Suggestion
	for _, s := range plain[1:] {
		switch {
		case per(s)*clearlyBetter > per(best):
		case s.GainBits < nothingTold:
			idle = append(idle, s)
		case s.GainBits >= best.GainBits:
			dear = append(dear, s)
		default:
			between = append(between, s)
		}
	}
	picked := []plan.Suggestion{best}
	for _, list := range [][]plan.Suggestion{dear, idle, between, between, idle} {
		if len(list) == 0 || len(picked) == offeredReadings {
			continue
		}
		s := list[random.IntN(len(list))]
		if !slices.ContainsFunc(picked, func(p plan.Suggestion) bool { return circuits.ReadingKey(p.Reading) == circuits.ReadingKey(s.Reading) }) {
			picked = append(picked, s)
		}
	}
	if len(picked) < offeredReadings {
		return nil
	}
	out := &Next{Taken: j.Readings, Truth: f, Open: next.Remaining}
	var readings []circuits.Reading
	for letter, i := range random.Perm(len(picked)) {
		readings = append(readings, picked[i].Reading)
		if i == 0 {
			out.Answer = letter
		}
	}
	for _, s := range plan.Weigh(&r, readings) {
		out.Offered = append(out.Offered, Offer{Reading: s.Reading, Bits: s.GainBits, Minutes: s.Minutes})
	}
	for i, o := range out.Offered {
		if i != out.Answer && o.PerMinute()*clearlyBetter > out.Offered[out.Answer].PerMinute() {
			return nil
		}
	}
	for _, b := range best.Outcomes {
		if b.Probability >= 0.02 {
			out.Means = append(out.Means, means(&r, best, b))
		}
	}
	return out
}

func per(s plan.Suggestion) float64 { return s.GainBits / s.Minutes }

// takenAlready tells whether a reading like it is among some.
func takenAlready(readings []circuits.Reading, r circuits.Reading) bool {
	return slices.ContainsFunc(readings, func(each circuits.Reading) bool { return circuits.ReadingKey(each) == circuits.ReadingKey(r) })
}
