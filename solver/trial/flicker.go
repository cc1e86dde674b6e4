package trial

import (
	"math"
	"math/rand/v2"

	"ohmtrail/circuits"
	"ohmtrail/solver/evidence"
)

// flicker is a machine whose fault comes and goes, with another resistance each time: for trials.
type flicker struct {
	v      *Vehicle
	truth  circuits.Single
	duty   float64 // the share of the time for which the fault is there
	jumps  float64 // the chance that moving the bad place makes the value jump
	random *rand.Rand
}

// seenByEye is the least jump in volts, amps or ohms that somebody sees who watches a display.
const seenByEye = 0.05

// there puts the fault in for one look, or takes it out.
func (m *flicker) there(yes bool) {
	m.v.Fault = circuits.Fault{}
	if !yes {
		return
	}
	f := m.truth
	switch {
	case f.Kind.TakesOhms():
		f = f.WithOhms(drawnOhms(f.Kind, m.random))
	case f.IsLowReference():
		f = drawnLow(f.WithoutOhms(), m.random)
	case f.Words == circuits.ReadsWrong:
		if d := m.v.circuit.Device(f.At.From.Place); !d.Kind.TwoState() {
			f.Shows = d.Range[0] + m.random.Float64()*(d.Range[1]-d.Range[0])
		}
	}
	m.v.Fault = circuits.Fault{First: f}
}

// Answer is what a reading shows; while a place is moved both values are seen where the value jumps.
func (m *flicker) Answer(meter circuits.Meter, r circuits.Reading) (circuits.Reading, bool) {
	m.there(r.Wiggle == "" && m.random.Float64() < m.duty)
	a, ok := m.v.Answer(meter, r)
	if r.Wiggle == "" || !ok || a.OL {
		return a, ok
	}
	at, err := m.v.circuit.Somewhere(r.Wiggle)
	if err != nil {
		return a, false
	}
	if m.random.Float64() >= evidence.JumpChance(m.v.circuit, at, m.truth)*m.jumps/evidence.JumpsMoved {
		return a, true
	}
	m.there(true)
	b, ok := m.v.Answer(meter, r)
	if !ok || b.OL || math.Abs(a.Value-b.Value) < seenByEye {
		return a, true
	}
	a.Value, a.High, a.Pair = min(a.Value, b.Value), max(a.Value, b.Value), true
	return a, true
}

// codes are the codes that the worst of a few times has set.
func (m *flicker) codes() []string {
	var out []string
	seen := map[string]bool{}
	for range evidence.TimesBeforeLooked {
		m.there(true)
		for _, code := range m.v.Codes() {
			if !seen[code] {
				seen[code] = true
				out = append(out, code)
			}
		}
	}
	return out
}

// drawnOhms draws the ohms of a fault: log-uniform from 3 Ω to 300 kΩ in series, from 0.1 Ω to 10 kΩ in a short.
func drawnOhms(kind circuits.FaultKind, random *rand.Rand) float64 {
	low, high := 0.1, 10e3
	if kind == circuits.HighResistance {
		low, high = 3, 300e3
	}
	return math.Exp(math.Log(low) + random.Float64()*math.Log(high/low))
}

// dutiesTried are the shares of the time of a trial's intermittent faults, in turn.
var dutiesTried = [...]float64{0.05, 0.2, 0.5}

// flickering turns a trial's machine into one whose fault comes and goes.
func flickering(v *Vehicle, n int, random *rand.Rand) *flicker {
	return &flicker{v: v, truth: v.Fault.First, duty: dutiesTried[n%len(dutiesTried)], jumps: evidence.JumpsMoved, random: random}
}
