package tally

import (
	"math"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/solver/trial"
)

// TestInterval: 81 of 263 and 15 of 148 are the examples of R. G. Newcombe, Statistics in Medicine 17 (1998), table I,
// method 3: 0.2553 to 0.3662 and 0.0624 to 0.1605; 0 of 20 gives 0 to 0.1611, 1 of 29 gives 0.0061 to 0.1718 (from memory).
// For 0 of n the bound is z²/(n + z²), by hand from the formula.
func TestInterval(t *testing.T) {
	for _, c := range []struct {
		s         Share
		low, high float64
	}{{Share{81, 263}, 0.2553, 0.3662}, {Share{15, 148}, 0.0624, 0.1605}, {Share{0, 20}, 0, 0.1611}, {Share{1, 29}, 0.0061, 0.1718}} {
		low, high := c.s.Interval()
		if math.Abs(low-c.low) > 6e-5 || math.Abs(high-c.high) > 6e-5 {
			t.Errorf("%v: %.4f to %.4f, want %.4f to %.4f", c.s, low, high, c.low, c.high)
		}
	}
	if _, high := (Share{0, 100}).Interval(); math.Abs(high-3.8414588/(100+3.8414588)) > 1e-6 {
		t.Errorf("0 of 100: up to %g", high)
	}
	if low, _ := (Share{}).Interval(); !math.IsNaN(low) {
		t.Errorf("none of none has the bound %g", low)
	}
}

// TestCalibrate by hand: 0.4 wrong, 0.6 and 0.7 with one right, 0.95 right (in the bin that begins there), 1 right.
func TestCalibrate(t *testing.T) {
	c := calibrate([]float64{0.4, 0.6, 0.7, 0.95, 1, 1 + 1e-12}, []bool{false, true, false, true, true, true})
	want := []Share{{0, 1}, {1, 2}, {0, 0}, {1, 1}, {2, 2}}
	for i, b := range c.Bins {
		if b.Right != want[i] {
			t.Errorf("bin %g to %g: %v, want %v", b.From, b.To, b.Right, want[i])
		}
	}
	if said := c.Bins[1].Said; math.Abs(said-0.65) > 1e-12 {
		t.Errorf("said %g on average, want 0.65", said)
	}
	// (1·0.4 + 2·|0.65 − 0.5| + 1·0.05 + 2·0)/6
	if math.Abs(c.Error-0.75/6) > 1e-9 {
		t.Errorf("calibration error %g", c.Error)
	}
	// (0.16 + 0.16 + 0.49 + 0.0025)/6
	if math.Abs(c.Brier-0.8125/6) > 1e-9 {
		t.Errorf("Brier score %g", c.Brier)
	}
}

func TestCount(t *testing.T) {
	two := circuits.Fault{First: circuits.Single{Kind: circuits.Open}, Second: circuits.Single{Kind: circuits.Open}}
	cases := []trial.Case{
		{Circuit: "a", Order: trial.BestPerMinute, Readings: 3, Minutes: 10, Top: 0.97, TopRight: true, InThree: true, Place: 0.9, PlaceRight: true, Done: true, EntropyBits: 5, Misread: 2},
		{Circuit: "b", Order: trial.BestPerMinute, Readings: 5, Minutes: 20, Top: 0.96, InThree: true, Place: 0.4, EntropyBits: 3, Fault: two, Found: true},
		{Circuit: "a", Order: trial.AtRandom, Readings: 50, Minutes: 99},
	}
	o := Count(trial.BestPerMinute, cases)
	if o.Group != (Share{1, 2}) || o.Three != (Share{2, 2}) || o.Place != (Share{1, 2}) || o.Found != (Share{1, 1}) || o.Stopped != (Share{1, 2}) ||
		o.Sure != (Share{2, 2}) || o.SureRight != (Share{1, 2}) || o.MisreadJobs != (Share{1, 2}) {
		t.Errorf("shares %+v", o)
	}
	if o.Readings != 4 || o.Minutes != 15 || o.EntropyBits != 4 || o.BitsPerReading != 1 || o.Misread != 2 {
		t.Errorf("means %+v", o)
	}
	if o.ByGroup.Bins[3].Right != (Share{1, 2}) || o.ByPlace.Bins[0].Right != (Share{0, 1}) {
		t.Errorf("bins %+v %+v", o.ByGroup, o.ByPlace)
	}
	if got := len(Of("a", cases)); got != 2 {
		t.Errorf("%d cases of a", got)
	}
}
