package worksheet

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"ohmtrail/circuits"
)

// Predict asks what each test point reads, healthy and under named faults.
type Predict struct {
	Columns []Column // healthy first
}

// Column is what all points show under one fault.
type Column struct {
	Letter string // "", "A", "B", …
	Fault  circuits.Fault
	Cells  []Cell   // by point
	Why    []string // sentences for the key
}

// namedFaults is how many faults stand beside healthy.
const namedFaults = 3

// differs is how far a cell must be from healthy to count as another, in volts.
const differs = 0.1

// kindOrder is the order in which kinds are named: a break first, then a poor joint, then one that touches, then a part.
var kindOrder = [][]circuits.FaultKind{
	{circuits.Open}, {circuits.HighResistance}, {circuits.ShortToGround, circuits.ShortBetween, circuits.ShortToVoltage}, {circuits.DeviceInside, circuits.ModuleInside},
}

func (m *maker) predict() (*Predict, error) {
	healthy := m.column("", circuits.Fault{})
	out := &Predict{Columns: []Column{healthy}}
	patterns := map[string]bool{}
	// First one of each kind, then any that teaches something else.
	for _, kinds := range append(slices.Clone(kindOrder), slices.Concat(kindOrder...)) {
		if len(out.Columns) <= namedFaults {
			if c, ok := m.telling(healthy, kinds, patterns); ok {
				c.Letter = letter(len(out.Columns) - 1)
				out.Columns = append(out.Columns, c)
				m.used[c.Fault.WithoutOhms()] = true
			}
		}
	}
	if len(out.Columns) == 1 {
		return nil, errors.New(say("error.predict"))
	}
	for i := range out.Columns {
		out.Columns[i].Why = m.why(out.Columns[0], out.Columns[i])
	}
	return out, nil
}

// drawn is among how many faults of a kind the one is chosen from which most is learned.
const drawn = 12

// telling chooses a fault of some kinds: of those drawn, the one whose points take the most different values while others
// stay as they are. patterns are looks and places that are taken.
func (m *maker) telling(healthy Column, kinds []circuits.FaultKind, patterns map[string]bool) (best Column, ok bool) {
	most, pattern := 0, ""
	tried := 0
	for _, i := range m.order(2) {
		f := circuits.Fault{First: m.pool[i]}
		if tried == drawn {
			break
		}
		if !slices.Contains(kinds, f.First.Kind) || m.used[f.WithoutOhms()] || patterns[f.First.At.String()] {
			continue
		}
		c := m.column("", f)
		look, score := against(healthy, c)
		if score == 0 || patterns[look] {
			continue
		}
		tried++
		if score > most {
			best, most, pattern, ok = c, score, look, true
		}
	}
	patterns[pattern], patterns[best.Fault.First.At.String()] = true, true
	return best, ok
}

// column works out what all points show under a fault.
func (m *maker) column(letter string, f circuits.Fault) Column {
	c := Column{Letter: letter, Fault: f}
	for _, p := range m.points {
		c.Cells = append(c.Cells, cell(m.job, at(p), f))
	}
	return c
}

// against says at which points a fault is seen and with what, and how much it teaches: nothing where all points change or
// none does, more the more evenly they part and the more values they take, most where points part that read the same
// when healthy.
func against(healthy, c Column) (pattern string, score int) {
	var b strings.Builder
	changed, same := 0, 0
	values, before := map[string]bool{}, map[string]bool{}
	for i, k := range c.Cells {
		if k.unsteady() || healthy.Cells[i].unsteady() {
			return "", 0
		}
		before[fmt.Sprintf("%.1f", healthy.Cells[i].Value)] = true
		first := k.Shown[:1]
		if k.floats() {
			first = ""
		}
		values[first+fmt.Sprintf("%.1f", k.Value)] = true
		if alikeCells(healthy.Cells[i], k) {
			same++
			b.WriteString("=|")
			continue
		}
		changed++
		fmt.Fprintf(&b, "%.1f|", k.Value)
	}
	if changed == 0 || same == 0 {
		return "", 0
	}
	return b.String(), min(changed, same, 3) + 2*max(0, len(values)-len(before)+2)
}

// alikeCells tells whether two cells read the same to somebody who reckons by hand.
func alikeCells(a, b Cell) bool {
	if math.IsNaN(a.From) || math.IsNaN(b.From) {
		return a.Shown == b.Shown
	}
	return math.Abs(a.Value-b.Value) < differs
}
