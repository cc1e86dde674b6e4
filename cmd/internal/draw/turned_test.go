package draw

import (
	"slices"
	"testing"

	"ohmtrail/circuits/library"
	"ohmtrail/circuits/made"
	"ohmtrail/circuits/read"
)

// A run through a connector lies the same on the page whichever end it is written from. (A run that meets none has no
// other direction than the one that it is written in, and may lie the other way.)
func TestDrawingsOfPathsInEitherDirection(t *testing.T) {
	some := false
	for _, name := range library.Names() {
		text, err := library.Text(name)
		if err != nil {
			t.Fatal(err)
		}
		c := fromLibrary(t, name)
		back := map[int]bool{}
		met := map[string]bool{} // connectors whose halves the paths so far decide
		for i, r := range c.Runs {
			common := false
			for _, p := range r.Path {
				if c.Connector(p.Place) != nil {
					for _, q := range r.Path {
						common = common || c.Module(q.Place) != nil && met[p.Place+" "+q.Place]
					}
				}
			}
			back[i] = common && i%2 == 1
			some = some || back[i]
			for _, p := range r.Path {
				for _, q := range r.Path {
					met[p.Place+" "+q.Place] = true
				}
			}
		}
		turned, problems := read.Circuit(name, []byte(made.Turned(string(text), func(run int) bool { return back[run] })))
		if turned == nil {
			t.Fatalf("%s: %v", name, problems)
		}
		a, b := build(c), build(turned)
		for i := range a.parts {
			p, q := a.parts[i], b.parts[b.byName[a.parts[i].name]]
			if p.column != q.column {
				t.Errorf("%s, runs %v turned: %s stands in column %d, not %d", name, back, p.name, q.column, p.column)
			}
		}
		for _, s := range a.strands {
			if !slices.ContainsFunc(b.strands, func(u strand) bool {
				return s.from.at.Terminal() == u.from.at.Terminal() && s.to.at.Terminal() == u.to.at.Terminal() && s.from.face == u.from.face && s.to.face == u.to.face
			}) {
				t.Errorf("%s, runs %v turned: no wire lies as %s", name, back, s.wire.Location)
			}
		}
	}
	if !some {
		t.Error("no run of the library could be turned")
	}
}
