package web

import (
	"encoding/json"
	"net/http"
	"strconv"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/page"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/rank"
)

func itoa(n int) string { return strconv.Itoa(n) }

// whyJSON is why one fault leads or is excluded.
type whyJSON struct {
	Fault    string       `json:"fault"`
	Said     string       `json:"said"`
	Readings []whyReading `json:"readings"`
	Nothing  []string     `json:"nothing"` // readings that nothing likely explains
}

// whyReading is one reading beside what the fault and a healthy circuit would show.
type whyReading struct {
	Where   string `json:"where"`
	Read    string `json:"read"`
	Would   string `json:"would"`
	Healthy string `json:"healthy"`
	Against bool   `json:"against"`
}

// showWhy accounts for a fault.
func (p *Page) showWhy(r *http.Request) (any, error) {
	s, end, err := p.ready(r)
	if err != nil {
		return nil, err
	}
	defer end()
	f, err := hypothesis.CheckFault(s.job, r.URL.Query().Get("fault"))
	if err != nil {
		return nil, refuse(http.StatusNotFound, "%s", err.Error())
	}
	ranking := s.ranking()
	c, ok := ranking.Find(f)
	if !ok {
		return nil, refuse(http.StatusNotFound, "this fault is not among those weighed here")
	}
	v := view.Ranked{Ranking: ranking, Why: []rank.Candidate{c}}
	out := whyJSON{Fault: c.Name(), Said: v.Against(c), Readings: []whyReading{}, Nothing: []string{}}
	for _, account := range v.JSON().Why {
		for _, one := range account.Readings {
			reading := s.job.Readings[one.Reading]
			out.Readings = append(out.Readings, whyReading{
				Where: itoa(one.Reading+1) + " " + inWords(s.job.Circuit, reading), Read: view.Read(reading),
				Would: amountWords(reading.Quantity, one.Predicts, one.Why), Healthy: amountWords(reading.Quantity, one.Healthy, ""), Against: one.Against})
		}
	}
	for _, index := range ranking.Unexplained {
		reading := s.job.Readings[index]
		out.Nothing = append(out.Nothing, "Nothing likely explains reading "+itoa(index+1)+", "+inWords(s.job.Circuit, reading)+": "+page.Spaced(view.Read(reading))+". Take it again.")
	}
	return out, nil
}

// inWords are a reading's leads and conditions.
func inWords(c *circuits.Circuit, r circuits.Reading) string {
	words := page.Spaced(view.Where(r))
	if when := view.Conditions(c, r); when != "" {
		words += ", " + page.Spaced(when)
	}
	return words
}

// amountWords prints what the JSON holds: a number, "OL", or no value and why.
func amountWords(q circuits.Quantity, a view.Amount, why string) string {
	body, err := json.Marshal(a)
	switch {
	case err != nil || string(body) == "null":
		if why != "" {
			return "no value: " + why
		}
		return "no value"
	case string(body) == `"OL"`:
		return "OL"
	}
	return strings.ReplaceAll(view.Value(q, float64(a)), " ", "\u00a0")
}
