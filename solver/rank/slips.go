package rank

import (
	"ohmtrail/circuits"
	"ohmtrail/solver/evidence"
)

// Slipped is a reading that the likeliest fault explains if a hand did something otherwise than the job says.
type Slipped struct {
	Reading int // index in the job
	Slips   []evidence.HandSlip
}

// slips looks at the readings that the likeliest listed fault must take for misreadings.
func (r *Ranking) slips() []Slipped {
	var lead *Candidate
	for i := range r.Candidates {
		if r.Candidates[i].Fault.Kind != circuits.Unlisted {
			lead = &r.Candidates[i]
			break
		}
	}
	if lead == nil {
		return nil
	}
	f := lead.full
	if lead.Ohms != nil && !f.IsDouble() {
		f.First = f.First.WithOhms(lead.Ohms.Best)
	}
	var out []Slipped
	var x *evidence.Expecter
	for i, n := range r.Taken {
		reading := r.Job.Readings[n]
		if lead.Misread[i] <= 0.5 || reading.Pair || reading.Sound {
			continue
		}
		if x == nil {
			x = evidence.NewExpecter(r.Job)
		}
		if slips := x.HandSlips(n, f); len(slips) > 0 {
			out = append(out, Slipped{n, slips})
		}
	}
	return out
}
