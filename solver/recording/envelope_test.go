package recording

import "testing"

// TestEnvelope: however long the recording, the bands stay few, follow each other, and hold the extremes.
func TestEnvelope(t *testing.T) {
	for _, n := range []int{1, 7, 100, 101, 5000, 99_999} {
		e := NewEnvelope(100)
		r := seeded(uint64(n))
		low, high := 0.0, 0.0
		for i := range n {
			v := r.NormFloat64()
			if i == n/3 {
				v = 50
			}
			low, high = min(low, v), max(high, v)
			e.Add(float64(i), v)
		}
		bands := e.Bands()
		sum, gotLow, gotHigh, last := int64(0), 0.0, 0.0, -1.0
		for _, b := range bands {
			if b.From <= last || b.To < b.From || b.Break {
				t.Fatalf("%d samples: band %+v after %g", n, b, last)
			}
			sum, gotLow, gotHigh, last = sum+b.Samples, min(gotLow, b.Low), max(gotHigh, b.High), b.To
		}
		if len(bands) > 100 || sum != int64(n) || gotLow != low || gotHigh != high {
			t.Errorf("%d samples: %d bands of %d, %g to %g, want %g to %g", n, len(bands), sum, gotLow, gotHigh, low, high)
		}
	}
}

// TestEnvelopeGap: a gap is a break.
func TestEnvelopeGap(t *testing.T) {
	e := NewEnvelope(100)
	for i := range 60 {
		at := float64(i)
		if i >= 30 {
			at += 20
		}
		e.Add(at, 1)
	}
	breaks := 0
	for _, b := range e.Bands() {
		if b.Break {
			breaks++
		}
	}
	if breaks != 1 {
		t.Errorf("%d breaks, want 1", breaks)
	}
}
