package exercise

import (
	"math"
	"testing"

	"ohmtrail/circuits"
)

// A fault that comes and goes is there for its share of the time, says so where the machine works meanwhile, is caught
// by watching and by moving the bad place, and hardly by moving another one.
func TestFaultsThatComeAndGo(t *testing.T) {
	x := mast(t)
	x.Intermittent, x.Hidden.Duty = true, 0.4
	const n = 300
	there, watched, moved, beside, wrong := 0, 0, 0, 0, 0
	for i := range n {
		x.Hidden.Seed = uint64(i)
		p := NewPlay(x, "")
		plain := done(t, p, "scan MCU:A2").Reading
		low := plain.Value < 0.5 // the signal's wire is open and its pin pulled down
		if low {
			there++
		}
		if low != (plain.Symptom == circuits.SymptomThere) {
			wrong++
		}
		if r := done(t, p, "scan MCU:A2 watch").Reading; r.Pair && r.Value < 0.5 && r.High > 1 {
			watched++
		}
		if r := done(t, p, "scan MCU:A2 wiggle C7").Reading; r.Pair {
			moved++
		}
		if r := done(t, p, "scan MCU:A2 wiggle F12").Reading; r.Pair {
			beside++
		}
	}
	share := func(k int) float64 { return float64(k) / n }
	within := func(what string, got, want float64) {
		// five standard deviations of a binomial share
		if math.Abs(got-want) > 5*math.Sqrt(want*(1-want)/n) {
			t.Errorf("%s in %.2f of cases, not %.2f", what, got, want)
		}
	}
	within("there", share(there), 0.4)
	within("caught by watching", share(watched), 1-math.Pow(0.6, watchLooks))
	within("caught by moving its place", share(moved), 0.6) // the chances that the reasoning reckons with
	within("caught by moving another place", share(beside), 0.05)
	if wrong > 0 {
		t.Errorf("%d readings say wrongly whether the complaint was there", wrong)
	}
	p := NewPlay(x, "")
	if r := done(t, p, "volts C7:1 unplug MHS").Reading; r.Symptom != circuits.SymptomUnknown {
		t.Error("with a plug apart nobody knows whether the complaint is there")
	}
	before := p.Minutes()
	done(t, p, "volts C7:1 unplug MHS watch")
	if got := p.Minutes() - before; got != 2+minutesWatch {
		t.Errorf("watching took %g minutes", got)
	}
}
