package network_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/network"
	"ohmtrail/solver/trial"
)

// TestMachinesAnswerAsNgspice holds the machines that exercises are played on against ngspice: each has its own
// tolerances and a hidden fault, and what its meter shows is what ngspice finds on that very circuit, within the meter's
// own error; what it is before the meter's error agrees to a millionth.
func TestMachinesAnswerAsNgspice(t *testing.T) {
	program := spiceProgram(t)
	machines, each := 12, 3
	if full() {
		machines, each = 40, 6
	}
	asked, values := 0, 0
	for _, name := range []string{"coolant-temperature", "shared-reference", "throttle-potentiometer", "lamp-relay-feed"} {
		c, err := library.Circuit(name)
		if err != nil {
			t.Fatal(err)
		}
		rng := rand.New(rand.NewPCG(41, uint64(len(name))))
		hypotheses := hypothesis.Hypotheses(c, hypothesis.DefaultWeights(), nil)
		var questions []*question
		var vehicles []*trial.Vehicle
		for range machines {
			f := circuits.Fault{First: trial.DrawFault(hypotheses, c, rng)}
			v := trial.NewVehicle(c, f, 0, rng)
			for range each {
				for _, r := range readingsOf(c, pick(rng, statesOf(c, rng)).state, f, rng) {
					questions = append(questions, &question{circuit: name, c: v.Own(), state: r.State, name: "machine", fault: f, stimuli: v.At(*r), meter: circuits.DefaultMeter(), reading: r})
					vehicles = append(vehicles, v)
				}
			}
		}
		consult(t, program, questions)
		for i, q := range questions {
			asked++
			if q.several {
				continue
			}
			if words := answerDiffers(q, vehicles[i], rng); words != "" {
				t.Errorf("%s: %s", q, words)
			}
			if !q.want.none && !q.want.ol {
				values++
			}
		}
	}
	t.Logf("%d readings of machines, %d with a value", asked, values)
	if values < 200 {
		t.Errorf("only %d readings have a value", values)
	}
}

// answerDiffers is what a machine answers otherwise than ngspice, "" where they agree.
func answerDiffers(q *question, v *trial.Vehicle, rng *rand.Rand) string {
	exact := v.Exact(q.meter, *q.reading)
	shown, ok := trial.Displayed(q.meter, *q.reading, exact, rng)
	want := q.want
	floats := want.none && want.why == "floating"
	switch {
	case want.none && !floats:
		if ok {
			return fmt.Sprintf("the machine shows %g, ngspice has no value: %s", shown.Value, want.why)
		}
		return ""
	case floats:
		if !ok || math.Abs(shown.Value) > q.meter.Volts.Bound(0)+0.001 {
			return fmt.Sprintf("the machine shows %g on a floating wire", shown.Value)
		}
		return ""
	case !ok:
		return fmt.Sprintf("the machine shows nothing (%+v), ngspice %g", exact.Why, want.value)
	case want.ol || shown.OL:
		if want.ol != shown.OL {
			return fmt.Sprintf("OL is %v on the machine and %v in ngspice", shown.OL, want.ol)
		}
		return ""
	}
	if exact.Status != network.Fine || !agree(exact.Value, want.value) && !(q.reading.Quantity == circuits.ScanVolts && agree(exact.Value, want.other)) {
		return fmt.Sprintf("the machine has %.9g, ngspice %.9g", exact.Value, want.value)
	}
	bound := q.meter.Accuracy(q.reading.Quantity).Bound(want.value) + 0.00051 // the display's last digit
	if q.reading.Quantity == circuits.Ohms {
		bound += 0.00051 * want.value
	}
	if q.reading.Quantity != circuits.ScanVolts && math.Abs(shown.Value-want.value) > bound {
		return fmt.Sprintf("the meter shows %g where %g ± %g is", shown.Value, want.value, bound)
	}
	return ""
}
