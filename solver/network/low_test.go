package network

import (
	"math"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
)

// How a reading follows the share of its volts that a low reference gives, and the ohms added to its source: the slope against the
// network solved a little to either side.
func TestSlopeOfALowReference(t *testing.T) {
	const step = 1e-4 // in e-folds
	compared := 0
	for _, name := range []string{"shared-reference", "pedal-two-track", "throttle-potentiometer"} {
		c, err := library.Circuit(name)
		if err != nil {
			t.Fatal(err)
		}
		layout := NewWideLayout(c)
		for _, r := range someReadings(c) {
			s := layout.Frame(circuits.DefaultMeter(), r).Scene(nil)
			for _, m := range c.Modules {
				for _, p := range m.Pins {
					if p.Kind != circuits.PinReference {
						continue
					}
					f := circuits.Single{Kind: circuits.ModuleInside, At: p.Inside(), Words: circuits.ReferenceLow}
					for _, low := range []func(float64) circuits.Single{
						func(e float64) circuits.Single { return f.WithShare(0.7 * math.Exp(e)) },
						func(e float64) circuits.Single { return f.WithOhms(90 * math.Exp(e)) },
					} {
						ask := func(e float64) (p Prediction) {
							var k Case
							k.Place(s, low(e))
							k.Value(0, &p)
							return p
						}
						here, below, above := ask(0), ask(-step), ask(step)
						if here.Status != Fine || below.Status != Fine || above.Status != Fine {
							continue
						}
						compared++
						want := (above.Value - below.Value) / (2 * step)
						if math.Abs(here.Slope-want) > 1e-4*(1e-3+math.Abs(want)) {
							t.Errorf("%s: %s %s in %+v under %s: slope %.9g, want %.9g", name, r.Quantity, r.At, r.State, low(0), here.Slope, want)
						}
					}
				}
			}
		}
	}
	if compared < 100 {
		t.Errorf("%d compared", compared)
	}
}
