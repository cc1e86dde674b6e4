package report

import (
	"math"
	"strconv"

	"ohmtrail/circuits"
	"ohmtrail/solver/plan"
	"ohmtrail/solver/rank"
)

// finding is what the readings of a job come to, and the fault that the report sets beside them.
type finding struct {
	standing Standing
	plan     plan.Plan
	lead     rank.Candidate // the likeliest real fault of the likeliest place
	has      bool           // there is such a fault
	fault    circuits.Fault // the same with its likeliest ohms, to three digits
	place    rank.PlaceOdds
	group    int              // of the lead
	others   []rank.Candidate // other faults of that place that hold a share of it, likeliest first
}

// otherShare is the share of its place from which on another fault there is named beside the leading one.
const otherShare = 0.01

// find settles what is proven and which fault the report speaks of.
func find(j *circuits.Job, r rank.Ranking) finding {
	f := finding{plan: plan.Next(&r)}
	real := func(c rank.Candidate) bool {
		return c.Fault.Kind != circuits.Healthy && c.Fault.Kind != circuits.Unlisted
	}
	for _, p := range f.plan.Remaining {
		for _, c := range r.Candidates {
			if real(c) && c.Place() == p.Place {
				f.lead, f.has, f.place, f.group = c, true, p, r.GroupOf(c)
				break
			}
		}
		if f.has {
			break
		}
	}
	if f.has {
		f.fault = withOhms(f.lead)
		for _, c := range r.Candidates {
			if c.Place() == f.place.Place && c.Name() != f.lead.Name() && c.Probability >= otherShare*f.place.Probability {
				f.others = append(f.others, c)
			}
		}
	}
	switch top := r.Candidates[0].Fault.Kind; {
	case j.Circuit.Pyrotechnic:
		f.standing = Forbidden
	case len(r.Taken) == 0:
		f.standing = NothingMeasured
	case top == circuits.Healthy && (f.plan.Remaining[0].Leading.First.Kind == circuits.Healthy || r.Groups[0].Faults[0].Fault.Kind == circuits.Healthy && f.place.Probability < 0.5):
		f.standing = NothingFound
	case top == circuits.Unlisted && f.plan.Remaining[0].Leading.First.Kind == circuits.Unlisted:
		f.standing = NothingListed
	case f.plan.Proven && f.has && f.plan.Remaining[0].Place == f.place.Place:
		f.standing = Proven
	default:
		f.standing = Unproven
	}
	return f
}

// speaks tells whether the report names a fault as its finding, proven or not.
func (f finding) speaks() bool { return f.standing == Proven || f.standing == Unproven }

// faults names what may be wrong at the place: the leading fault alone, or each with its probability where several
// share it.
func (f finding) faults() string {
	if len(f.others) == 0 {
		return f.lead.Name()
	}
	var list []string
	for i, c := range append([]rank.Candidate{f.lead}, f.others...) {
		if i == 3 {
			break
		}
		list = append(list, say("sure.share", "fault", c.Name(), "probability", percent(c.Probability)))
	}
	return joined("or", list)
}

// withOhms is a candidate's fault with its likeliest ohms. They are rounded to the three digits that are printed, so
// that `expect` with what is printed gives the same numbers.
func withOhms(c rank.Candidate) circuits.Fault {
	f := c.Whole()
	if c.Ohms == nil || math.IsNaN(c.Ohms.Best) {
		return f
	}
	for _, s := range []*circuits.Single{&f.First, &f.Second} {
		if *s == c.Fault {
			*s = s.WithOhms(threeDigits(c.Ohms.Best))
		}
	}
	return f
}

func threeDigits(v float64) float64 {
	r, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 3, 64), 64)
	if err != nil {
		return v
	}
	return r
}

// singles are the one or two faults of a fault.
func singles(f circuits.Fault) []circuits.Single {
	if f.IsDouble() {
		return []circuits.Single{f.First, f.Second}
	}
	return []circuits.Single{f.First}
}

// places are where a fault is to be repaired.
func places(f circuits.Fault) []circuits.Location {
	var out []circuits.Location
	for _, s := range singles(f) {
		if !s.At.IsZero() {
			out = append(out, s.At)
		}
		if !s.To.IsZero() {
			out = append(out, s.To)
		}
	}
	return out
}
