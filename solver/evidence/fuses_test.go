package evidence

import (
	"math"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/solver/hypothesis"
)

// A fuse that is found gone, taken out and read with an ohmmeter, speaks for a short behind it that would have blown it, and for none that
// would not: at 12.6 V a short of 0 Ω behind a 15 A fuse draws hundreds of amperes, one of 1 kΩ 13 mA.
func TestAFuseFoundGoneSpeaksForTheShort(t *testing.T) {
	c, err := library.Circuit("oxygen-sensor-biased")
	if err != nil {
		t.Fatal(err)
	}
	fuse := c.Device("F9")
	r := circuits.Reading{At: circuits.PointLocation(circuits.Point{Place: "F9", Cavity: fuse.Terminals[0].Cavity, Side: "device"}),
		To: circuits.Point{Place: "F9", Cavity: fuse.Terminals[1].Cavity, Side: "device"}, Quantity: circuits.Ohms, Taken: true, OL: true,
		State: circuits.State{Key: circuits.KeyOff, Unplugged: []string{"F9"}}}
	j := &circuits.Job{Circuit: c, Meter: circuits.DefaultMeter(), Assume: map[string]float64{}, Readings: []circuits.Reading{r}}
	w := NewScales(j, Mechanisms{})
	hs := hypothesis.Hypotheses(c, hypothesis.DefaultWeights(), nil)
	shorts, others := 0, 0
	var healthy float64
	for _, x := range w.WeighAll(hs) {
		l := x.total()
		switch f := x.Fault; {
		case f.Kind == circuits.Healthy:
			healthy = l
		case f.Kind == circuits.ShortToGround && l > healthy+math.Log(5):
			shorts++
			if best := x.bestCell(); best.ohms(f) > 1 {
				t.Errorf("%s is likeliest at %.3g Ω, which blows no fuse", f, best.ohms(f))
			}
			if len(x.bestCell().gone) == 0 {
				t.Errorf("%s explains the fuse, and has blown none", f)
			}
		case f.Kind == circuits.Open && l > healthy+math.Log(5):
			others++
		}
	}
	if shorts < 5 || others > 0 {
		t.Errorf("%d shorts and %d opens explain a fuse that is gone", shorts, others)
	}
}
