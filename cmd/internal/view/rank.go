package view

import (
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/solver/rank"
)

// Ranked is a ranking with what was asked about it.
type Ranked struct {
	Ranking rank.Ranking
	Why     []rank.Candidate // faults to account for; none for no account
}

// Leading are the faults that a short account speaks of: the likeliest of each group, until they hold most of the
// probability, and the runner-up in any case, for an answer is as good as what it excludes.
func Leading(r rank.Ranking) []rank.Candidate {
	const least, most, enough = 2, 3, 0.95
	var out []rank.Candidate
	sum := 0.0
	for _, g := range r.Groups {
		if len(out) == most || len(out) >= least && (sum >= enough || g.Probability < 0.005) {
			break
		}
		if g.Faults[0].Fault.Kind != circuits.Unlisted {
			out = append(out, g.Faults[0])
		}
		sum += g.Probability
	}
	return out
}

// RankedJSON is the contract's answer to `rank`, with more.
type RankedJSON struct {
	Groups      []GroupJSON    `json:"groups"`
	Verdict     string         `json:"verdict"`
	Fit         Amount         `json:"fit"`
	Learned     []LearnedJSON  `json:"learned"`
	Unexplained []int          `json:"unexplained"`
	Slips       []SlipJSON     `json:"slips,omitempty"`     // readings that would fit if a hand did otherwise than the job says
	Refused     []int          `json:"refused"`             // ohms readings of a live circuit, by index
	Returning   *ReturningJSON `json:"returning,omitempty"` // codes that nothing there now sets
	Readings    []ReadingJSON  `json:"readings"`
	Misread     []Amount       `json:"misread"` // by reading: how likely it is not what it says; null for a planned one
	Cautions    []string       `json:"cautions"`
	Why         []AccountJSON  `json:"why,omitempty"`
}

// ReturningJSON is what codes say that nothing there now sets: a fault that comes and goes.
type ReturningJSON struct {
	Codes       []string `json:"codes"`
	Probability float64  `json:"probability"` // that it comes and goes
	Faults      []string `json:"faults"`      // the likeliest if it does
}

// GroupJSON is the faults that no reading so far tells apart.
type GroupJSON struct {
	Probability float64     `json:"probability"`
	Faults      []FaultJSON `json:"faults"`
}

// FaultJSON is one fault after all readings.
type FaultJSON struct {
	Fault       string    `json:"fault"`
	Kind        string    `json:"kind"`
	Location    string    `json:"location"`
	Probability float64   `json:"probability"`
	Ohms        *OhmsJSON `json:"ohms"` // null for a fault without ohms
	Prior       float64   `json:"prior"`
	Reason      string    `json:"reason"` // of the prior
}

// OhmsJSON is what the readings say of a resistance.
type OhmsJSON struct {
	Best Amount `json:"best"`
	Low  Amount `json:"low"`
	High Amount `json:"high"`
}

// JSON is the contract's form.
func (v Ranked) JSON() RankedJSON {
	r := v.Ranking
	out := RankedJSON{Groups: []GroupJSON{}, Verdict: Verdict(&r), Fit: Amount(r.Fit), Learned: LearnedOf(&r), Unexplained: indices(r.Unexplained), Refused: indices(r.Refused),
		Readings: []ReadingJSON{}, Misread: []Amount{}, Cautions: Cautions(r.Job)}
	out.Slips = slipsJSON(&r)
	if out.Cautions == nil {
		out.Cautions = []string{}
	}
	if x := r.Returning; x != nil {
		out.Returning = &ReturningJSON{Codes: x.Codes, Probability: x.Probability, Faults: []string{}}
		for _, c := range x.Faults {
			out.Returning.Faults = append(out.Returning.Faults, c.Name())
		}
	}
	for _, g := range r.Groups {
		group := GroupJSON{Probability: g.Probability, Faults: []FaultJSON{}}
		for _, c := range g.Faults {
			group.Faults = append(group.Faults, faultJSON(c))
		}
		out.Groups = append(out.Groups, group)
	}
	misread := map[int]float64{}
	for i, index := range r.Taken {
		misread[index] = r.Misread[i]
	}
	for i, reading := range r.Job.Readings {
		out.Readings = append(out.Readings, readingJSON(r.Job.Circuit, reading))
		m, taken := misread[i]
		out.Misread = append(out.Misread, amountOr(m, taken))
	}
	out.Why = v.accountsJSON()
	return out
}

func indices(list []int) []int {
	if list == nil {
		return []int{}
	}
	return list
}

func faultJSON(c rank.Candidate) FaultJSON {
	f := FaultJSON{Fault: c.Name(), Probability: c.Probability, Prior: c.Prior, Reason: priorReason(c.Reason)}
	f.Kind, f.Location = kindAndLocation(c.Whole())
	if c.Ohms != nil {
		f.Ohms = &OhmsJSON{Amount(c.Ohms.Best), Amount(c.Ohms.Low), Amount(c.Ohms.High)}
	}
	return f
}

// kindAndLocation are those of the fault; of two at once, both joined by " + ".
func kindAndLocation(f circuits.Fault) (kind, location string) {
	singles := []circuits.Single{f.First}
	if f.IsDouble() {
		singles = append(singles, f.Second)
	}
	var kinds, locations []string
	for _, s := range singles {
		kinds = append(kinds, s.Kind.String())
		at := s.At.String()
		if !s.To.IsZero() {
			at += " " + s.To.String()
		}
		locations = append(locations, at)
	}
	return strings.Join(kinds, " + "), strings.Join(locations, " + ")
}
