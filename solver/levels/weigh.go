package levels

import (
	"ohmtrail/circuits"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/rank"
)

// Weighed is a recording among the readings of a job.
type Weighed struct {
	Log     Log
	Ranking rank.Ranking    // with the recording's readings
	Lead    *rank.Candidate // whose ohms over time are told; nil where the leading fault has none
	Ohms    [][]OhmsAt      // by channel: the lead's ohms over time; nil where nothing jumped
}

// Weigh ranks a job's faults with a recording and fits the ohms of the leading one over time. file names the recording.
func Weigh(j *circuits.Job, l Log, file string) Weighed {
	w := Weighed{Log: l, Ranking: l.Rank(j, file), Ohms: make([][]OhmsAt, len(l.Channels))}
	if w.Lead = lead(&w.Ranking); w.Lead == nil || !w.Jumped() {
		return w
	}
	for i := range l.Channels {
		if curve, ok := NewCurve(j, &l.Channels[i], w.Lead.Whole()); ok {
			w.Ohms[i] = curve.Over(j, &l.Channels[i])
		}
	}
	return w
}

// lead is the leading fault for its ohms over time: of an open that, the high resistance at the same place, for an open is
// one of any ohms.
func lead(r *rank.Ranking) *rank.Candidate {
	if len(r.Candidates) == 0 {
		return nil
	}
	first := &r.Candidates[0]
	if first.Fault.Kind == circuits.Open && !first.Whole().IsDouble() {
		for i := range r.Candidates {
			c := &r.Candidates[i]
			if c.Fault.Kind == circuits.HighResistance && c.Fault.At == first.Fault.At && !c.Whole().IsDouble() {
				return c
			}
		}
	}
	if first.Fault.Kind == circuits.Healthy || first.Fault.Kind == circuits.Unlisted {
		return nil
	}
	return first
}

// Jumped tells whether any channel jumped between levels.
func (w Weighed) Jumped() bool {
	for _, c := range w.Log.Channels {
		if len(c.Found.Jumps) > 0 {
			return true
		}
	}
	return false
}

// Shown is what a channel would read under the leading fault of a group.
type Shown struct {
	Group   rank.Group
	Expects evidence.Expectation // at the ohms that suit the readings best
}

const (
	mostShown  = 2
	shownShare = 0.01 // from which on a group after the first is shown
)

// Shown are the leading groups with what a channel would read under each. What reads alike is shown once.
func (w Weighed) Shown(channel int) []Shown {
	var out []Shown
	for _, g := range w.Ranking.Groups {
		lead := g.Faults[0]
		if lead.Fault.Kind == circuits.Healthy || lead.Fault.Kind == circuits.Unlisted {
			continue
		}
		if len(out) == mostShown || len(out) > 0 && g.Probability < shownShare {
			break
		}
		f := lead.Whole()
		if o := lead.Ohms; o != nil && !f.IsDouble() {
			f = circuits.Fault{First: f.First.WithOhms(o.Best)}
		}
		e := evidence.Expect(w.Ranking.Job, w.Log.Channels[channel].Reading, f)
		if n := len(out); n == 0 || e.Low != out[n-1].Expects.Low || e.High != out[n-1].Expects.High {
			out = append(out, Shown{g, e})
		}
	}
	return out
}
