package web

import (
	"net/http"

	"ohmtrail/circuits"
)

// stateJSON is what the machine is put into, as a page says it and as it goes into each reading.
type stateJSON struct {
	Key       circuits.Key       `json:"key"`
	Unplugged []string           `json:"unplugged"`
	Jumper    [][2]string        `json:"jumper"`
	Load      []loadJSON         `json:"load"`
	Set       map[string]float64 `json:"set"`
}

type loadJSON struct {
	From string  `json:"from"`
	To   string  `json:"to"`
	Ohms float64 `json:"ohms"`
}

// whole has lists and not nothing, as a page expects.
func (s stateJSON) whole() stateJSON {
	if s.Key == "" {
		s.Key = circuits.KeyOn
	}
	if s.Unplugged == nil {
		s.Unplugged = []string{}
	}
	if s.Jumper == nil {
		s.Jumper = [][2]string{}
	}
	if s.Load == nil {
		s.Load = []loadJSON{}
	}
	if s.Set == nil {
		s.Set = map[string]float64{}
	}
	return s
}

func stateOf(s circuits.State) stateJSON {
	out := stateJSON{Key: s.Key, Unplugged: s.Unplugged, Set: map[string]float64{}}
	for _, j := range s.Jumpers {
		out.Jumper = append(out.Jumper, [2]string{j[0].String(), j[1].String()})
	}
	for _, l := range s.Loads {
		out.Load = append(out.Load, loadJSON{l.From.String(), l.To.String(), l.Ohms})
	}
	for _, one := range s.Set {
		out.Set[one.Device] = one.Set
	}
	return out.whole()
}

// mostListed are the plugs, jumpers or loads that one state may list; no hand has more leads.
const mostListed = 40

// state is the form that is written into a job; its names are checked there.
func (s stateJSON) state() (circuits.State, error) {
	out := circuits.State{Key: s.Key, Unplugged: s.Unplugged}
	if len(s.Unplugged) > mostListed || len(s.Jumper) > mostListed || len(s.Load) > mostListed || len(s.Set) > mostListed {
		return out, refuse(http.StatusUnprocessableEntity, "this is more than a hand can plug")
	}
	if s.Key != circuits.KeyOff && s.Key != circuits.KeyOn && s.Key != circuits.KeyRun {
		return out, refuse(http.StatusUnprocessableEntity, "the key is off, on or run")
	}
	point := func(text string) (circuits.Point, error) {
		p, err := circuits.ParsePoint(text)
		if err != nil {
			return p, refuse(http.StatusUnprocessableEntity, "%s", err.Error())
		}
		return p, nil
	}
	for _, j := range s.Jumper {
		from, err := point(j[0])
		if err != nil {
			return out, err
		}
		to, err := point(j[1])
		if err != nil {
			return out, err
		}
		out.Jumpers = append(out.Jumpers, [2]circuits.Point{from, to})
	}
	for _, l := range s.Load {
		from, err := point(l.From)
		if err != nil {
			return out, err
		}
		to, err := point(l.To)
		if err != nil {
			return out, err
		}
		out.Loads = append(out.Loads, circuits.LoadLead{From: from, To: to, Ohms: l.Ohms})
	}
	for _, name := range sortedKeys(s.Set) {
		out.Set = append(out.Set, circuits.SetDevice{Device: name, Set: s.Set[name]})
	}
	return out, nil
}

// setState takes what somebody says that the machine is put into now, and tells the other pages on the job: it is one
// machine, whoever reads it.
func (p *Page) setState(r *http.Request) (any, error) {
	w, _, err := p.on(r)
	if err != nil {
		return nil, err
	}
	var said stateJSON
	if err := take(r, &said); err != nil {
		return nil, err
	}
	if _, err := said.state(); err != nil {
		return nil, err
	}
	w.mu.Lock()
	w.state = said
	w.stated++
	out := map[string]any{"state": said.whole(), "stated": w.stated}
	p.hub.Send(w.name, "state", out)
	w.mu.Unlock()
	return out, nil
}

// left is the reading after which the machine stands as it does: as somebody on the page has said, else as the job's last reading
// left it.
func (p *Page) left(r *http.Request, j *circuits.Job) (circuits.Reading, error) {
	left := j.Left()
	w, _, err := p.on(r)
	if err != nil {
		return left, err
	}
	w.mu.Lock()
	said, stated := w.state, w.stated
	w.mu.Unlock()
	if stated == 0 {
		return left, nil
	}
	left.State, err = said.state()
	return left, err
}
