package network

import (
	"math"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
)

// What a survey bounds is never moved further: all faults of the library and of a harness through all readings at once,
// against each reading asked by itself.
func TestSurveyBoundsWhatFaultsMove(t *testing.T) {
	names := append(library.Names(), "a harness")
	if testing.Short() {
		names = names[:3]
	}
	bounded, asked, tight := 0, 0, 0
	for _, name := range names {
		c, err := library.Circuit(name)
		if err != nil {
			c = madeHarness(t, 163)
		}
		layout := NewWideLayout(c)
		var scenes []*Scene
		for i, r := range someReadings(c) {
			if i%11 == 0 {
				scenes = append(scenes, layout.Frame(circuits.DefaultMeter(), r).Scene(nil))
			}
		}
		survey := NewSurvey(scenes)
		sound := make([]Prediction, len(scenes))
		for i, s := range scenes {
			var k Case
			k.Place(s, circuits.Single{})
			k.Value(0, &sound[i])
		}
		for at, f := range someFaults(c) {
			if at%3 != 0 {
				continue
			}
			for i, bound := range survey.Bounds(f, f.Ohms) {
				if math.IsInf(bound, 1) {
					asked++
					continue
				}
				bounded++
				var k Case
				var p Prediction
				k.Place(scenes[i], f)
				k.Value(f.Ohms, &p)
				if p.Status != sound[i].Status {
					if bound < 1 {
						t.Errorf("%s: %s under %s: bound %g, but %+v becomes %+v", name, scenes[i].frame.reading.At, f, bound, sound[i].Why, p.Why)
					}
					continue
				}
				moved := math.Abs(p.Value - sound[i].Value)
				if moved > bound*1.000001+1e-6 {
					t.Errorf("%s: %s %s under %s: bound %g, moved %g", name, scenes[i].frame.reading.Quantity, scenes[i].frame.reading.At, f, bound, moved)
				}
				if bound < 5e-5 || moved > bound/2 {
					tight++
				}
			}
		}
	}
	t.Logf("%d bounded, %d of them tightly; %d have to be asked", bounded, tight, asked)
	if tight < bounded/2 || asked > bounded {
		t.Errorf("%d of %d bounds are tight, and %d readings have to be asked", tight, bounded, asked)
	}
}
