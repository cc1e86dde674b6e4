package draw

import (
	"slices"
	"strings"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/made"
)

// TestAroundEveryPoint draws the surroundings of every point of a harness of 163 wires: nothing hides anything, all the
// wires of the part are there, and the foot says how many are not.
func TestAroundEveryPoint(t *testing.T) {
	c := parse(t, made.Harness(3, 163))
	tried := map[circuits.Point]bool{}
	for i, w := range c.Wires {
		if i%9 != 0 || tried[w.To] {
			continue
		}
		tried[w.To] = true
		part, left := c.Around(w.To)
		m := Marks{LeftOut: &left}
		if s := c.Wires[(i+80)%len(c.Wires)]; part.Wire(s.Location) == nil {
			m.Suspects = []Suspect{{Location: s.Location, Words: "open here? 40 %"}}
		}
		p := Draw(part, m)
		checkPicture(t, p)
		text := plainText(t, p.SVG())
		for _, want := range LeftOut(left) {
			if !strings.Contains(strings.Join(strings.Fields(text), " "), want) {
				t.Errorf("around %s: it does not say %q", w.To, want)
			}
		}
		if left.Wires+len(part.Wires) != len(c.Wires) {
			t.Errorf("around %s: %d wires and %d left out of %d", w.To, len(part.Wires), left.Wires, len(c.Wires))
		}
		if len(m.Suspects) > 0 && !strings.Contains(text, "Not drawn here: ") {
			t.Errorf("around %s: a suspect that is left out is not said", w.To)
		}
		if found := groups(t, p.SVG()); found["wire "+w.Location.String()] != 1 {
			t.Errorf("around %s: its own wire %s is not there", w.To, w.Location)
		}
	}
}

func TestLeftOutInWords(t *testing.T) {
	many := strings.Fields("D1 D2 D3 D4 D5 D6 D7 D8 D9 D10 D11 D12 D13 D14")
	for _, c := range []struct {
		left circuits.LeftOut
		want []string
	}{
		{circuits.LeftOut{}, []string{"No wire of the circuit is left out."}},
		{circuits.LeftOut{Wires: 1}, []string{"1 wire of the circuit is left out."}},
		{circuits.LeftOut{Wires: 9, Modules: []string{"M"}, Devices: many, GoesOn: []circuits.Point{{Place: "S1"}}},
			[]string{"9 wires of the circuit are left out, with the module M and the parts D1, D2, D3, D4, D5, D6, D7, D8, D9, D10, D11, D12 and 2 more.", "The circuit goes on at S1."}},
	} {
		if got := LeftOut(c.left); !slices.Equal(got, c.want) {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}
