package rank

import (
	"math"
	"testing"

	"ohmtrail/solver/evidence"
	"ohmtrail/solver/internal/given"
)

// Five readings that a bad contact at C12:1 explains, and no width of anything else: 2 V of 5 V are lost across it. What any other
// fault predicts of them stays what a machine with that fault can show; the readings do not pull it beyond.
func TestNoFaultPredictsWhatNoMachineShows(t *testing.T) {
	r := Rank(given.Job(t, `circuit = "library:throttle-potentiometer"
[assume]
TPS = 0.5
[[reading]]
at = "ECM:21"
volts = 5.00
[[reading]]
at = "C12:1/chassis"
volts = 5.00
[[reading]]
at = "C12:1/engine"
volts = 3.00
[[reading]]
at = "TPS:A"
volts = 3.00
[[reading]]
at = "C12:1/chassis"
to = "C12:1/engine"
volts = 2.00
[[reading]]
at = "ECM:34"
scan_volts = 1.50
`))
	if lead := r.Candidates[0].Name(); lead != "high-resistance C12:1" {
		t.Fatalf("%s leads", lead)
	}
	const meter = 0.05 // volts: more than the meter's error and what 95 % of the machines leave out
	for _, c := range r.Candidates {
		if c.Fault.Kind.TakesOhms() {
			continue
		}
		for i, predicted := range c.Predicts {
			can := evidence.Expect(r.Job, r.Job.Readings[r.Taken[i]], c.full)
			if math.IsNaN(predicted) || math.IsNaN(can.Low) {
				continue
			}
			if predicted < can.Low-meter || predicted > can.High+meter {
				t.Errorf("%s predicts %.3f V of reading %d; a machine with it shows %.3f to %.3f V", c.Name(), predicted, i+1, can.Low, can.High)
			}
		}
	}
}
