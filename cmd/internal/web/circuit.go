package web

import (
	"net/http"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/page"
)

// circuitJSON is what a page must know of a circuit to let readings be entered.
type circuitJSON struct {
	Version string         `json:"version"`
	Parts   []page.Part    `json:"parts"`
	Plugs   []page.Named   `json:"plugs"`
	Sets    []page.Setting `json:"sets"`
	Places  []page.Named   `json:"places"` // what can be moved, or looked at
	Seen    []string       `json:"seen"`
}

// showCircuit answers with a job's circuit.
func (p *Page) showCircuit(r *http.Request) (any, error) {
	_, s, err := p.usable(r)
	if err != nil {
		return nil, err
	}
	c := s.job.Circuit
	return circuitJSON{s.version, page.Parts(c), page.Plugs(c), page.Settings(c, func(circuits.DeviceKind) bool { return true }), page.Places(c), circuits.SeenWords()}, nil
}
