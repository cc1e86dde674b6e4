package rank

import (
	"ohmtrail/circuits"
	"ohmtrail/solver/evidence"
)

// Find gives the candidate of a fault name's fault, whatever its ohms; ok is false where the circuit has no such
// hypothesis.
func (r Ranking) Find(f circuits.Fault) (Candidate, bool) {
	want := f.WithoutOhms()
	for _, c := range r.Candidates {
		if c.full.WithoutOhms() == want || reversed(c.full.WithoutOhms()) == want {
			return c, true
		}
	}
	return Candidate{}, false
}

// reversed writes a short between two places, or two swapped terminals, the other way round.
func reversed(f circuits.Fault) circuits.Fault {
	if f.First.Kind == circuits.ShortBetween || f.First.Kind == circuits.Swapped {
		f.First.At, f.First.To = f.First.To, f.First.At
	}
	return f
}

// Against are the taken readings, by position in Ranking.Taken, that speak against a candidate: those that it must take
// for misreadings, and those that lie more than three standard deviations off.
func (c Candidate) Against() []int {
	var out []int
	for i := range c.Predicts {
		if c.Misread[i] > 0.5 || c.Gap[i] > evidence.Apart || c.Gap[i] < -evidence.Apart {
			out = append(out, i)
		}
	}
	return out
}

// GroupOf is the index of the group that holds a candidate.
func (r Ranking) GroupOf(c Candidate) int {
	for g := range r.Groups {
		for _, f := range r.Groups[g].Faults {
			if f.full == c.full {
				return g
			}
		}
	}
	return -1
}

// HealthyReading is what a taken reading shows with nothing wrong: the prediction of "healthy" without regard to the
// readings, with its bounds.
func (r Ranking) HealthyReading(position int) evidence.Expectation {
	return evidence.Expect(r.Job, r.Job.Readings[r.Taken[position]], circuits.Fault{})
}

// Codes are the job's codes that the circuit knows, one for each limit that sets it.
func (r *Ranking) Codes() []string {
	if r.w == nil { // a ranking that nothing has been weighed for
		return nil
	}
	return r.w.Codes()
}

// SetsAllCodes tells whether a fault sets every code of the job.
func (r *Ranking) SetsAllCodes(f circuits.Single) bool { return r.w.SetsAll(f) }

// CodesSetBy are the codes of the circuit that a fault sets.
func (r *Ranking) CodesSetBy(f circuits.Single) map[string]bool { return r.w.CodesSetBy(f) }
