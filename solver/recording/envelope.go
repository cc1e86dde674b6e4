package recording

import "math"

// Band is the span of the values of some samples that follow each other.
type Band struct {
	From, To  float64 // times of the first and the last
	Low, High float64
	First     float64 // the first and last value
	Last      float64
	Samples   int64
	Break     bool // a gap lies before it
}

// Envelope keeps the least and the greatest value of a recording of any length in a bounded number of bands: as they fill
// up, neighbours are made one.
type Envelope struct {
	bands []Band
	each  int64 // samples to a band
	most  int
	open  bool
	step  float64 // usual time between samples, for gaps
}

// NewEnvelope makes an envelope of at most that many bands.
func NewEnvelope(most int) *Envelope { return &Envelope{each: 1, most: max(most&^1, 2)} }

// Add takes the next sample; one that is not a number is left out.
func (e *Envelope) Add(t, v float64) {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return
	}
	gap := false
	if n := len(e.bands); n > 0 {
		d := t - e.bands[n-1].To
		gap = e.step > 0 && d > gapFactor*e.step
		if !gap && d > 0 {
			if e.step == 0 {
				e.step = d
			}
			e.step += (d - e.step) / 64
		}
		if b := &e.bands[n-1]; e.open && !gap && b.Samples < e.each {
			b.To, b.Last, b.Low, b.High, b.Samples = t, v, min(b.Low, v), max(b.High, v), b.Samples+1
			return
		}
	}
	if len(e.bands) == e.most {
		e.halve()
		if b := &e.bands[len(e.bands)-1]; !gap && b.Samples < e.each {
			b.To, b.Last, b.Low, b.High, b.Samples = t, v, min(b.Low, v), max(b.High, v), b.Samples+1
			return
		}
	}
	e.bands = append(e.bands, Band{From: t, To: t, Low: v, High: v, First: v, Last: v, Samples: 1, Break: gap})
	e.open = true
}

// halve makes one band of every two.
func (e *Envelope) halve() {
	e.each *= 2
	kept := e.bands[:0]
	for i := 0; i < len(e.bands); i += 2 {
		a := e.bands[i]
		if i+1 < len(e.bands) {
			b := e.bands[i+1]
			a.To, a.Last, a.Low, a.High, a.Samples = b.To, b.Last, min(a.Low, b.Low), max(a.High, b.High), a.Samples+b.Samples
		}
		kept = append(kept, a)
	}
	e.bands = kept
}

// Bands are the bands so far.
func (e *Envelope) Bands() []Band { return e.bands }
