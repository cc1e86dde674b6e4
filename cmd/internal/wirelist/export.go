package wirelist

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/draft/circuittext"
	"ohmtrail/models"
)

// ExportOptions say how to write a list.
type ExportOptions struct {
	Separator    rune // between cells; 0 is ','
	DecimalComma bool // 0,5 in place of 0.5, as spreadsheets of many countries want it; then the separator is ';' by default
}

func (o ExportOptions) separator() rune {
	switch {
	case o.Separator != 0:
		return o.Separator
	case o.DecimalComma:
		return ';'
	}
	return ','
}

func (o ExportOptions) number(v float64) string {
	s := circuittext.Number(v)
	if o.DecimalComma {
		s = strings.Replace(s, ".", ",", 1)
	}
	return s
}

// Wires writes the from-to list of a circuit: one row a wire, in file order, lengths in metres, resistances in ohms at
// 20 °C. Import reads it back to the same wires.
func Wires(out io.Writer, c *circuits.Circuit, o ExportOptions) error {
	rows := [][]string{{"from", "from_side", "to", "to_side", "colour", "size_mm2", "length_m", "ohms", "name", "role"}}
	for _, w := range c.Wires {
		run := c.Runs[w.Run]
		rows = append(rows, []string{w.From.Terminal().String(), w.From.Side, w.To.Terminal().String(), w.To.Side, w.Color,
			o.number(digits(w.SizeMM2, 6)), o.number(digits(w.LengthM, 6)), o.number(digits(w.Ohms, 4)), quoteCell(run.Name), run.Role})
	}
	return o.write(out, rows)
}

// TestPoints writes a bill of test points: every point that a lead can touch, where it is, how long it takes to reach, and
// what it carries.
func TestPoints(out io.Writer, c *circuits.Circuit, o ExportOptions) error {
	rows := [][]string{{"point", "kind", "place", "side", "access_min", "unplug", "colour", "carries", "runs"}}
	copper := c.Copper()
	for _, p := range points(c) {
		var colors, runs []string
		for _, w := range c.Wires {
			if w.From != p.at && w.To != p.at {
				continue
			}
			if w.Color != "" && !has(colors, w.Color) {
				colors = append(colors, w.Color)
			}
			if name := c.Runs[w.Run].Title(); !has(runs, name) {
				runs = append(runs, name)
			}
		}
		carries := ""
		if _, ok := copper.NetOf(p.at); ok {
			carries = carried(c, copper.Net(p.at))
		} else if p.at == circuits.BPositive || p.at == circuits.BNegative {
			carries = "battery"
		} else if p.side == "part" {
			carries = own(c, p.at)
		}
		rows = append(rows, []string{quoteCell(p.at.String()), c.KindOf(p.at.Place), quoteCell(c.Label(p.at.Place)), p.side, o.number(c.AccessMin(p.at.Place)),
			p.unplug, strings.Join(colors, " "), carries, quoteCell(strings.Join(runs, "; "))})
	}
	return o.write(out, rows)
}

// testPoint is a point with how it is reached.
type testPoint struct {
	at     circuits.Point
	side   string // harness, part, or the half's name
	unplug string // what must be unplugged to reach it; "" where it can be back-probed
}

// points lists the test points: modules, devices, in-line connectors, splices, studs and posts, each in file order.
func points(c *circuits.Circuit) []testPoint {
	var out []testPoint
	for _, place := range places(c) {
		for _, cavity := range c.Cavities(place) {
			at := circuits.Point{Place: place, Cavity: cavity}
			k := c.Connector(place)
			if k == nil {
				part := at
				part.Side = "device"
				out = append(out, testPoint{at, "harness", ""}, testPoint{part, "part", c.PlugOf(at)})
				continue
			}
			for _, side := range k.Sides {
				half := at
				half.Side = side
				if c.Contact(circuits.PointLocation(at)) != nil || wired(c, half) {
					out = append(out, testPoint{half, side, ""})
				}
			}
		}
		if len(c.Cavities(place)) == 0 {
			out = append(out, testPoint{circuits.Point{Place: place}, "", ""})
		}
	}
	return out
}

func places(c *circuits.Circuit) []string {
	var out []string
	for _, m := range c.Modules {
		out = append(out, m.Name)
	}
	for _, d := range c.Devices {
		out = append(out, d.Name)
	}
	for _, k := range c.Connectors {
		if len(c.Cavities(k.Name)) > 0 {
			out = append(out, k.Name)
		}
	}
	for _, s := range c.Splices {
		out = append(out, s.Name)
	}
	for _, s := range c.Studs {
		out = append(out, s.Name)
	}
	return append(out, "B+", "B-")
}

func wired(c *circuits.Circuit, p circuits.Point) bool {
	for _, w := range c.Wires {
		if w.From == p || w.To == p {
			return true
		}
	}
	return false
}

// carried says what a piece of copper carries, by the module pins, parts and posts on it.
func carried(c *circuits.Circuit, net []circuits.Point) string {
	var out []string
	add := func(s string) {
		if !has(out, s) {
			out = append(out, s)
		}
	}
	for _, p := range net {
		if pin := c.Pin(p); pin != nil {
			add(pinWords(*pin) + " " + p.String())
		}
	}
	for _, p := range net {
		switch {
		case p == circuits.BPositive || p == circuits.BNegative:
			add(p.Place)
		case c.Stud(p.Place) != nil:
			add("ground " + p.Place)
		}
	}
	for _, p := range net {
		d := c.Device(p.Place)
		if d == nil {
			continue
		}
		for _, t := range d.Terminals {
			if t.Cavity == p.Cavity {
				add(t.Role + " of " + d.Name)
			}
		}
	}
	return strings.Join(out, ", ")
}

// own says what stands behind the pin of a part itself.
func own(c *circuits.Circuit, p circuits.Point) string {
	if pin := c.Pin(p.Terminal()); pin != nil {
		return pinWords(*pin)
	}
	if d := c.Device(p.Place); d != nil {
		for _, t := range d.Terminals {
			if t.Cavity == p.Cavity {
				return t.Role
			}
		}
	}
	return ""
}

// pinWords names what stands behind a module pin.
func pinWords(p circuits.Pin) string {
	switch p.Kind {
	case circuits.PinReference:
		return models.SI(p.Volts, "V") + " reference"
	case circuits.PinInput:
		switch {
		case p.PullUpOhms > 0 && p.PullDownOhms > 0:
			return fmt.Sprintf("input (pulled up %s and down %s)", models.SI(p.PullUpOhms, "Ω"), models.SI(p.PullDownOhms, "Ω"))
		case p.PullUpOhms > 0:
			return fmt.Sprintf("input (pulled up to %s through %s)", models.SI(p.PullUpVolts, "V"), models.SI(p.PullUpOhms, "Ω"))
		case p.PullDownOhms > 0:
			return fmt.Sprintf("input (pulled down through %s)", models.SI(p.PullDownOhms, "Ω"))
		}
		return "input"
	case circuits.PinReturn:
		if p.OffsetVolts != 0 {
			return fmt.Sprintf("return at %s", models.SI(p.OffsetVolts, "V"))
		}
	}
	return strings.ReplaceAll(string(p.Kind), "_", " ")
}

// digits rounds to significant digits: a size that was given as a gauge has sixteen.
func digits(v float64, n int) float64 {
	r, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', n, 64), 64)
	if err != nil {
		return v
	}
	return r
}

func (o ExportOptions) write(out io.Writer, rows [][]string) error {
	w := csv.NewWriter(out)
	w.Comma = o.separator()
	if err := w.WriteAll(rows); err != nil {
		return fmt.Errorf("writing the list: %w", err)
	}
	return nil
}
