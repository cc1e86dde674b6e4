package models

import (
	"math"
	"testing"
)

func TestWidths(t *testing.T) {
	near := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 1e-12*(1+math.Abs(want)) {
			t.Errorf("%s is %.15g, want %.15g", what, got, want)
		}
	}
	// 1 to 100 Ω by the logarithm: the middle is 10 Ω, a quarter of it lies below √10 Ω, and the deviation of a uniform
	// variable over ln 100 is ln 100/√12.
	w := Evenly(1, 100, true)
	near("the geometric middle", w.Middle(), 10)
	near("a quarter", w.At(0.25), math.Sqrt(10))
	near("the deviation in e-folds", w.Deviation(), math.Log(100)/math.Sqrt(12))
	near("the middle above 1 Ω", w.Offset(1), math.Sqrt(3)) // half of the width is √3 deviations
	near("the middle above 10 Ω", w.Offset(10), 0)
	near("one deviation above 10 Ω", w.Moved(10, 1), 10*math.Exp(math.Log(100)/math.Sqrt(12)))
	// 11.9 to 13.3 V by the value.
	v := Evenly(11.9, 13.3, false)
	near("the middle", v.Middle(), 12.6)
	near("the deviation in volts", v.Deviation(), 1.4/math.Sqrt(12))
	near("√3 deviations below the middle", v.Moved(12.6, -math.Sqrt(3)), 11.9)
	near("the ends", v.At(0)+v.At(1), 11.9+13.3)
	// What begins at nothing has no logarithm.
	if s := Evenly(0, 0.01, true); s.Log || s.Middle() != 0.005 {
		t.Errorf("0 to 10 mΩ is %+v", s)
	}
	if x := Evenly(5, 5, true); !x.Exact() || x.Deviation() != 0 || x.Offset(5) != 0 {
		t.Errorf("%+v is exact", x)
	}
}
