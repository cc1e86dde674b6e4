package evidence

import (
	"fmt"
	"math"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/read"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/internal/given"
)

// seriesFault is a high resistance before a load of 5 kΩ on 5 V, and the volts read across the load with a 10 MΩ meter.
const seriesFault = `format = 1
[battery]
volts = 5
running_volts = 5
source_ohms = 0
[device.L]
kind = "resistor"
terminals = { a = "1", b = "2" }
ohms = 4999.99                 # with its two contacts 5 kΩ
tolerance_pct = 0
[[run]]
path = ["B+", "L:1"]
length_m = 0
[[run]]
path = ["L:2", "B-"]
length_m = 0
`

// Integrated resistance: a series fault, log-uniform from 3 Ω to 300 kΩ, σ = (0.5 % + 10 mV)/√3. What the strips add up to
// must be the integral, not the peak of the best fit; misreadings are switched off, for the numbers know none.
func TestIntegratedResistance(t *testing.T) {
	c, problems := read.Circuit("series.circuit.toml", []byte(seriesFault))
	if c == nil {
		t.Fatal(problems)
	}
	wire := circuits.WireLocation(circuits.BPositive, circuits.Point{Place: "L", Cavity: "1"})
	for _, x := range []struct{ volts, ohms, peak, integrated float64 }{
		{4.90, 102.1, 20.03, 0.9275}, {2.50, 4998.9, 30.70, 0.0695}, {0.30, 78320, 60.08, 0.3081}, {4.98, math.NaN(), 19.80, 4.09},
	} {
		j := &circuits.Job{Circuit: c, Meter: circuits.DefaultMeter(), Readings: []circuits.Reading{{
			At: circuits.PointLocation(circuits.Point{Place: "L", Cavity: "1"}), To: circuits.BNegative, Quantity: circuits.Volts,
			State: circuits.State{Key: circuits.KeyOn}, Taken: true, Value: x.volts, High: x.volts}}}
		w := NewScales(j, Mechanisms{Tolerances: true}) // the numbers know none
		w.off.Misreads = true
		b := newBench(w)
		fault := Weighed{Hypothesis: hypothesis.Hypothesis{Fault: circuits.Single{Kind: circuits.HighResistance, At: wire}, Prior: 1}, cells: logStrips(3, 300e3, 12, 1)}
		b.begin(&fault)
		for i := range fault.cells {
			b.evaluate(fault.Fault, &fault.cells[i])
		}
		for range refineDepth {
			if !b.refine(&fault) {
				break
			}
		}
		what := fmt.Sprintf("at %.2f V", x.volts)
		given.About(t, what+" integrated, per volt", math.Exp(fault.total()), x.integrated, 0.02*x.integrated)
		t.Logf("%s: integrated %.4f per volt, printed %.4f", what, math.Exp(fault.total()), x.integrated)
		// The best fit: a reading on its prediction has the density of the meter's error alone (the numbers know nothing of
		// the solver's floor of 1 mV; the best of their grid of resistances lies up to 0.04 % under the top).
		given.About(t, what+" density of the best fit", normal(0, 0, math.Sqrt(sq(w.obs[0].sigma)-sq(floorVolts))), x.peak, 0.005+0.0004*x.peak)
		if !math.IsNaN(x.ohms) {
			best := ohmsOf(fault.cells, fault.total())
			if !(best.Low < x.ohms && x.ohms < best.High) {
				t.Errorf("%s: %.4g Ω (%.4g to %.4g), want %.4g within", what, best.Best, best.Low, best.High, x.ohms)
			}
			// A strip is a twelfth of eleven and a half e-folds; where it matters it is cut in three.
			given.About(t, what+" best fit, in e-folds off", math.Log(best.Best/x.ohms), 0, math.Log(1e5)/12/3)
		}
		if x.volts != 4.98 {
			continue
		}
		// Healthy explains 4.98 V three times better than the integral, though the best fit of a bad contact beats it.
		healthy := Weighed{Hypothesis: hypothesis.Hypothesis{Prior: 1}}
		b.coarse(&healthy)
		got := math.Exp(healthy.total())
		given.About(t, "at 4.98 V healthy", got, 12.10, 0.02*12.10)
		if odds := got / math.Exp(fault.total()); odds < 2.8 || odds > 3.1 {
			t.Errorf("at 4.98 V healthy is %.3g times as likely as a bad contact, want 12.10/4.09 = 2.96", odds)
		}
		if got > x.peak {
			t.Errorf("at 4.98 V healthy has %g per volt and the best fit %g: the best fit would not prefer the fault", got, x.peak)
		}
	}
}
