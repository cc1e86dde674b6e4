package read

import (
	"math"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/models"
)

// The contract's section 5: a number written plainly, as a range, left out.
func TestWidthsOfTheContract(t *testing.T) {
	c := circuitOf(t, `format = 1
[battery]
volts = 12.5
[module.M]
contact_ohms = 0.01
pins.A1 = { kind = "reference", source_ohms = 1 }
pins.A2 = { kind = "input", pull_up_ohms = "2k2", below = { volts = 0.25, code = "X" } }
pins.A3 = { kind = "return" }
pins.A4 = { kind = "lin", commander = true }
pins.A5 = { kind = "low_side" }
pins.A6 = { kind = "can_high", bias_ohms = ["30k", "40k"] }
[device.R]
kind = "ratiometric"
terminals = { supply = "1", output = "2", return = "3" }
output_ohms = 200
[device.T]
kind = "thermistor"
terminals = { a = "1", b = "2" }
ohms_25 = 2000
beta = 3500
tolerance_pct = 3
[device.L]
kind = "load"
terminals = { a = "1", b = "2" }
ohms = [9, 16]
[ground.G]
[[run]]
path = ["M:A1", "S", "R:1"]
length_m = [2, 1]
[[run]]
path = ["M:A2", "R:2"]
[[run]]
path = ["M:A3", "R:3"]
[[run]]
path = ["S", "G"]
[[run]]
path = ["B+", "L:1"]
[[run]]
path = ["L:2", "G"]
`)
	m, pin := c.Module("M"), func(cavity string) *circuits.Pin { return c.Pin(circuits.Point{Place: "M", Cavity: cavity}) }
	r, thermistor, load := c.Device("R"), c.Device("T"), c.Device("L")
	per := models.WireOhms(0.5, 1)
	for _, w := range []struct {
		what      string
		got       models.Width
		low, high float64
		byLog     bool
	}{
		{"volts written", c.Battery.Widths[0], 12.5 * 0.96, 12.5 * 1.04, false},
		{"running volts left out", c.Battery.Widths[1], 12.5 / 12.6 * 14.2 * 0.94, 12.5 / 12.6 * 14.2 * 1.06, false},
		{"source ohms left out", c.Battery.Widths[2], 0.005, 0.05, true},
		{"supply ohms left out", m.Width, 8, 150, true},
		{"reference volts", pin("A1").Width("volts"), 4.95, 5.05, false},
		{"reference source written", pin("A1").Width("source_ohms"), 0.5, 2, true},
		{"reference limit left out", pin("A1").Width("limit_ma"), 20, 200, true},
		{"pull-up", pin("A2").Width("pull_up_ohms"), 1980, 2420, true},
		{"no pull-down", pin("A2").Width("pull_down_ohms"), 0, 0, false},
		{"pull-up volts", pin("A2").Width("pull_up_volts"), 4.85, 5.15, false},
		{"limit", pin("A2").Width("below"), 0.15, 0.35, false},
		{"converter offset", pin("A2").Width("scan_offset_volts"), -0.025, 0.025, false},
		{"converter gain", pin("A2").Width("scan_gain_pct"), -0.5, 0.5, false},
		{"return left out", pin("A3").Width("ohms"), 0.005, 0.2, true},
		{"commander left out", pin("A4").Width("pull_up_ohms"), 900, 1100, true},
		{"driver left out", pin("A5").Width("on_ohms"), 0.05, 0.8, true},
		{"bias ohms as a range", pin("A6").Width("bias_ohms"), 30e3, 40e3, true},
		{"bias volts left out", pin("A6").Width("bias_volts"), 2, 3, false},
		{"sensor supply left out", r.Width("supply_ohms"), 300, 5000, true},
		{"sensor output written", r.Width("output_ohms"), 100, 400, true},
		{"least supply left out", r.Width("min_supply_volts"), 3, 5, false},
		{"accuracy", r.Width("output_pct"), -1.5, 1.5, false},
		{"thermistor", thermistor.Width("ohms_25"), 1940, 2060, true},
		{"load as a range", load.Width("ohms"), 9, 16, true},
		{"stud left out", c.Stud("G").Width, 0.001, 0.02, true},
		{"contact written", c.Contact(circuits.PointLocation(circuits.Point{Place: "M", Cavity: "A1"})).Width, 0.005, 0.02, true},
		{"contact left out", c.Contact(circuits.PointLocation(circuits.Point{Place: "R", Cavity: "1"})).Width, 0.002, 0.05, true},
		{"wire of 2 m to a splice", c.Wires[0].Width, 2 * per * 0.8, 2*per*1.2 + 0.01, true},
		{"wire without a length", c.Wires[2].Width, 0.3 * per, 3 * per, true},
	} {
		if math.Abs(w.got.Low-w.low) > 1e-9 || math.Abs(w.got.High-w.high) > 1e-9*(1+w.high) || w.got.Log != w.byLog {
			t.Errorf("%s: %+v, want %g to %g, by the logarithm %v", w.what, w.got, w.low, w.high, w.byLog)
		}
	}
	// The nominal of a range: the geometric middle of ohms (9 and 16 have 12), the middle of volts.
	if got := load.Ohms; math.Abs(got-12) > 1e-9 {
		t.Errorf("the nominal of 9 to 16 Ω is %g", got)
	}
}
