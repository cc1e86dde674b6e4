package draw

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"ohmtrail/circuits/library"
)

// rect is the room that something takes on a picture.
type rect struct {
	low, high XY
	what      string
}

func (a rect) overlaps(b rect) bool {
	return a.low.X < b.high.X && b.low.X < a.high.X && a.low.Y < b.high.Y && b.low.Y < a.high.Y
}

// textRects are the boxes round the letters of a picture, without what hangs over or under a line of plain text.
func textRects(s Picture) []rect {
	r := newRuler()
	var out []rect
	for _, sh := range s.Shapes {
		if sh.Kind != Text || strings.TrimSpace(sh.Text) == "" {
			continue
		}
		w, _ := r.measured(line{text: sh.Text, size: sh.Size, bold: sh.Bold})
		x, y := sh.Points[0].X, sh.Points[0].Y
		if sh.Middle {
			x -= w / 2
		}
		out = append(out, rect{XY{x, y - sh.Size*0.7}, XY{x + w, y}, sh.Text})
	}
	return out
}

// signRects are the frames of the suspects' tags and the signs of the test points.
func signRects(s Picture) []rect {
	var out []rect
	class := ""
	for _, sh := range s.Shapes {
		switch {
		case sh.Kind == Group:
			class = sh.Class
		case sh.Kind == Box && class == "suspect" && sh.Radius > 0:
			out = append(out, rect{sh.Points[0], sh.Points[1], "tag"})
		case sh.Kind == Area && class == "test":
			out = append(out, rect{XY{sh.Points[1].X, sh.Points[0].Y}, XY{sh.Points[2].X, sh.Points[1].Y}, "test point's sign"})
		}
	}
	return out
}

// strokeRects are the boxes round each straight piece of every wire.
func strokeRects(s Picture) []rect {
	var out []rect
	wire := ""
	for _, sh := range s.Shapes {
		switch {
		case sh.Kind == Group && sh.Class == "wire":
			wire = sh.Name
		case sh.Kind == End:
			wire = ""
		case sh.Kind == Line && wire != "" && sh.Stroke == ink:
			for i := 1; i < len(sh.Points); i++ {
				a, b := sh.Points[i-1], sh.Points[i]
				half := sh.Width / 2
				dx, dy := 0.0, half
				if a.X == b.X {
					dx, dy = half, 0
				}
				out = append(out, rect{XY{min(a.X, b.X) - dx, min(a.Y, b.Y) - dy}, XY{max(a.X, b.X) + dx, max(a.Y, b.Y) + dy}, wire})
			}
		}
	}
	return out
}

// checkPicture requires a drawing in which nothing hides anything: no text on text, no wire through text, no wire along
// another, everything on the page.
func checkPicture(t *testing.T, s Picture) {
	t.Helper()
	texts, strokes, bars := textRects(s), strokeRects(s), barRects(s)
	for _, sign := range signRects(s) {
		for _, a := range texts {
			inside := a.low.X >= sign.low.X && a.high.X <= sign.high.X && a.low.Y >= sign.low.Y && a.high.Y <= sign.high.Y
			if sign.overlaps(a) && !(inside && sign.what == "tag") {
				t.Errorf("a %s at %v cuts %q at %v", sign.what, sign.low, a.what, a.low)
			}
		}
	}
	page := rect{XY{0, 0}, XY{s.Width, s.Height}, "the page"}
	for i, a := range texts {
		if a.low.X < page.low.X || a.low.Y < page.low.Y || a.high.X > page.high.X || a.high.Y > page.high.Y {
			t.Errorf("%q stands off the page: %v to %v of %.0f × %.0f", a.what, a.low, a.high, s.Width, s.Height)
		}
		for _, b := range texts[:i] {
			if a.overlaps(b) {
				t.Errorf("%q at %v lies on %q at %v", a.what, a.low, b.what, b.low)
			}
		}
		if isBadge(a.what) {
			continue // a suspect's number stands on its wire
		}
		for _, b := range bars {
			if a.overlaps(b) {
				t.Errorf("the bar of %s runs behind %q at %v", b.what, a.what, a.low)
			}
		}
		for _, b := range strokes {
			if a.overlaps(b) {
				t.Errorf("wire %s runs through %q at %v", b.what, a.what, a.low)
			}
		}
	}
	for i, a := range bars {
		for _, b := range bars[:i] {
			if a.overlaps(b) {
				t.Errorf("the bar of %s lies on the bar of %s at %v", a.what, b.what, a.low)
			}
		}
	}
	for i, a := range strokes {
		for _, b := range strokes[:i] {
			if a.what != b.what && a.overlaps(b) && alike(a, b) {
				t.Errorf("wire %s lies along %s at %v", a.what, b.what, a.low)
			}
		}
	}
}

// barRects are the upright bars of splices and studs.
func barRects(s Picture) []rect {
	var out []rect
	part := ""
	for _, sh := range s.Shapes {
		switch {
		case sh.Kind == Group:
			part = ""
			if sh.Class == "part" {
				part = sh.Name
			}
		case sh.Kind == Line && part != "" && sh.Width == 3 && sh.Points[0].X == sh.Points[1].X:
			a, b := sh.Points[0], sh.Points[1]
			out = append(out, rect{XY{a.X - 1.5, a.Y}, XY{b.X + 1.5, b.Y}, part})
		}
	}
	return out
}

// TestTracksKeepApart gives two wires that swap heights: the one that leaves a height must turn before the other takes
// it over. a leads from 0 to 100, b from 100 to 200, so a needs b to have turned off 100 first.
func TestTracksKeepApart(t *testing.T) {
	p := &placed{
		grid: &grid{legs: []leg{
			{from: anchor{0, east}, to: anchor{1, west}},
			{from: anchor{2, east}, to: anchor{3, west}},
		}},
		y: []float64{0, 100, 100, 200},
	}
	if got := p.trackOrder([]int{0, 1}); got[0] != 1 || got[1] != 0 {
		t.Errorf("tracks from left to right: %v, want [1 0]", got)
	}
	p.y = []float64{0, 100, 200, 300} // nothing shared: as they stand
	if got := p.trackOrder([]int{0, 1}); got[0] != 0 || got[1] != 1 {
		t.Errorf("tracks from left to right: %v, want [0 1]", got)
	}
}

// isBadge tells whether a text can be a suspect's number.
func isBadge(s string) bool { return strings.Trim(s, "0123456789") == "" }

// alike tells whether two strokes run the same way.
func alike(a, b rect) bool {
	level := func(r rect) bool { return r.high.X-r.low.X > r.high.Y-r.low.Y }
	return level(a) == level(b)
}

func TestNothingHidesAnything(t *testing.T) {
	for _, name := range library.Names() {
		t.Run(name, func(t *testing.T) {
			c := fromLibrary(t, name)
			checkPicture(t, Draw(c, Marks{Legend: true}))
			checkPicture(t, Draw(c, everywhere(c)))
		})
	}
}

// TestModuleLeftSensorRight holds the reading direction: a run that begins at a module reads to the right as long as
// it crosses an in-line connector.
func TestModuleLeftSensorRight(t *testing.T) {
	for _, name := range library.Names() {
		d := build(fromLibrary(t, name))
		for _, s := range d.strands {
			a, b := d.parts[s.from.part], d.parts[s.to.part]
			if (a.crossed || b.crossed) && a.column >= b.column {
				t.Errorf("%s: wire %s reads from column %d to %d", name, s.wire.Location, a.column, b.column)
			}
		}
	}
}

// TestBoxesStandApart requires the boxes of a column to have no row of another part between their own.
func TestBoxesStandApart(t *testing.T) {
	for _, name := range library.Names() {
		c := fromLibrary(t, name)
		g := cut(build(c))
		g.arrange()
		r := newRuler()
		p := place(g, g.annotate(Marks{}, r), r)
		for k := range g.columns {
			order := g.order(k)
			for i := 1; i < len(order); i++ {
				a, b := order[i-1], order[i]
				if got, want := p.y[b]-p.y[a], p.gap(a, b); got < want-1e-6 {
					t.Errorf("%s: column %d: rows %d and %d stand %.1f apart, %.1f needed", name, k, i-1, i, got, want)
				}
			}
			last := map[int]int{}
			for i, s := range order {
				part := g.slots[s].part
				if part == none || g.parts[part].kind == splicePart {
					continue
				}
				if at, ok := last[part]; ok && at != i-1 {
					t.Errorf("%s: something stands between the rows of %s", name, g.parts[part].name)
				}
				last[part] = i
			}
		}
	}
}

// TestMostWiresAreLevel guards the one-row-a-run look: of the shared reference's forty wires none needs a kink.
func TestMostWiresAreLevel(t *testing.T) {
	for name, most := range map[string]int{"shared-reference": 0, "throttle-potentiometer": 0, "coolant-temperature": 0, "can-pair": 6} {
		c := fromLibrary(t, name)
		g := cut(build(c))
		g.arrange()
		r := newRuler()
		p := place(g, g.annotate(Marks{}, r), r)
		kinks := 0
		for i := range p.strands {
			if !straight(p.path(i)) {
				kinks++
			}
		}
		if kinks > most {
			t.Errorf("%s: %d wires have kinks, at most %d expected", name, kinks, most)
		}
	}
}

// fleet is a circuit of n sensors on n/40 modules, with splices, studs and connectors: larger than a person would write.
func fleet(n int) string {
	var b strings.Builder
	b.WriteString("format = 1\n[battery]\nvolts = 12\n")
	groups := (n + 39) / 40
	for m := range groups {
		fmt.Fprintf(&b, "[module.M%d]\npins.G1 = { kind = \"ground\" }\n", m)
		for i := range 40 {
			fmt.Fprintf(&b, "pins.A%d = { kind = \"input\", pull_up_ohms = \"1k\" }\n", i)
		}
		fmt.Fprintf(&b, "[splice.S%d]\n[ground.G%d]\n[connector.C%d]\n", m, m, m)
	}
	for i := range n {
		fmt.Fprintf(&b, "[device.D%d]\nkind = \"resistor\"\nohms = 100\nterminals = { a = \"1\", b = \"2\" }\n", i)
	}
	for i := range n {
		fmt.Fprintf(&b, "[[run]]\npath = [\"M%d:A%d\", \"C%d:%d\", \"D%d:1\"]\n", i/40, i%40, i/40, i%40+1, i)
		fmt.Fprintf(&b, "[[run]]\npath = [\"D%d:2\", \"S%d\"]\ncolor = \"BK\"\n", i, i*7/40%groups)
	}
	for m := range groups {
		fmt.Fprintf(&b, "[[run]]\npath = [\"S%d\", \"G%d\"]\n[[run]]\npath = [\"M%d:G1\", \"G%d\"]\n", m, m, m, m)
	}
	return b.String()
}

func TestHugeCircuitIsDrawn(t *testing.T) {
	c := parse(t, fleet(400))
	s := Draw(c, Marks{})
	found := map[string]bool{}
	for _, sh := range s.Shapes {
		if sh.Kind == Group && sh.Class == "wire" {
			found[sh.Name] = true
		}
		for _, q := range sh.Points {
			if math.IsNaN(q.X) || math.IsInf(q.X, 0) || math.IsNaN(q.Y) || math.IsInf(q.Y, 0) {
				t.Fatalf("a shape at %v", q)
			}
		}
	}
	if len(found) != len(c.Wires) {
		t.Errorf("%d of %d wires are drawn", len(found), len(c.Wires))
	}
}

// TestOddCircuits draws what is allowed but unusual.
func TestOddCircuits(t *testing.T) {
	head := "format = 1\n[battery]\nvolts = 12\n[module.M]\npins.1 = { kind = \"input\" }\npins.2 = { kind = \"return\" }\n" +
		"[device.R]\nkind = \"resistor\"\nohms = 10\nterminals = { a = \"1\", b = \"2\" }\n"
	for name, body := range map[string]string{
		"a ring of splices":  "[splice.A]\n[splice.B]\n[splice.C]\n[[run]]\npath=[\"A\",\"B\"]\n[[run]]\npath=[\"B\",\"C\"]\n[[run]]\npath=[\"C\",\"A\"]\n[[run]]\npath=[\"M:1\",\"A\"]\n[[run]]\npath=[\"B\",\"R:1\"]\n",
		"two wires one way":  "[[run]]\npath=[\"M:1\",\"R:1\"]\n[[run]]\npath=[\"M:1\",\"R:2\"]\n",
		"a loop on one part": "[[run]]\npath=[\"M:1\",\"M:2\"]\n[[run]]\npath=[\"M:2\",\"R:1\"]\n",
		"battery both posts": "[[run]]\npath=[\"B+\",\"R:1\"]\n[[run]]\npath=[\"R:2\",\"B-\"]\n",
		"a socket":           "[connector.C]\n[[run]]\npath=[\"M:1\",\"C:1\"]\n[[run]]\npath=[\"C:2\",\"R:1\"]\n",
	} {
		t.Run(name, func(t *testing.T) {
			c := parse(t, head+body)
			checkPicture(t, Draw(c, Marks{Legend: true}))
			checkPicture(t, Draw(c, everywhere(c)))
			if found := groups(t, svg(t, c, Marks{})); len(found) == 0 {
				t.Error("an empty drawing")
			}
			for _, w := range c.Wires {
				if found := groups(t, svg(t, c, Marks{})); found["wire "+w.Location.String()] != 1 {
					t.Errorf("wire %s is not drawn once", w.Location)
				}
			}
		})
	}
}
