package evidence

import (
	"math"
	"slices"

	"ohmtrail/circuits"
	"ohmtrail/solver/network"
)

// unknown is a stimulus that a job does not know: one for all readings, or one a reading for what moves by itself.
type unknown struct {
	device    *circuits.Device
	parameter int
	low, high float64 // it lies evenly between them
	reading   int     // the one observation that it belongs to; -1 for all
	wrong     bool    // what the device shows if it reads wrong, at every observation
	sister    bool    // of the sound machine beside it
}

func (u unknown) mid() float64 { return (u.low + u.high) / 2 }

// sd is the standard deviation of the even spread.
func (u unknown) sd() float64 { return uniformSD(u.high - u.low) }

// drift is one standard deviation of what a stimulus has moved between a reading and the job's mean: of two readings whose
// difference is even within the bound.
func (u unknown) drift() float64 {
	if u.device.Kind.Type().Stimulus.Between == circuits.Drifts {
		return circuits.DriftCelsius / math.Sqrt(3) / math.Sqrt2
	}
	return 0
}

// free tells whether a stimulus is another one at each reading.
func free(j *circuits.Job, d *circuits.Device) bool {
	return d.Kind.Type().Stimulus.Between == circuits.Moves || slices.Contains(j.Moves, d.Name)
}

// alive tells whether an observation is one end of a value that moved by itself: so may all sensors have done meanwhile.
func (o *observation) alive() bool { return o.twin >= 0 && !o.swept }

// findUnknowns lists the continuous stimuli that no reading of the job is told, and what each part would show that reads wrong,
// and notes with each observation which of them apply to it.
func (w *Scales) findUnknowns() {
	w.wrongAt = map[string]int{}
	for q, p := range w.parameters {
		if p.Kind != network.Stimulus {
			continue
		}
		d := w.j.Circuit.Device(p.Place.Place)
		u := unknown{device: d, parameter: q, low: d.Range[0], high: d.Range[1], reading: -1}
		shared := [2]int{-1, -1} // of the machine, and of the sound one beside it
		for i := range w.obs {
			o := &w.obs[i]
			if _, known := w.j.SetOf(o.r, d); known {
				continue
			}
			at := &shared[o.machine()]
			if free(w.j, d) || o.alive() {
				at, u.reading = new(int), i
				*at = -1
			}
			if u.sister = o.sound; *at < 0 {
				*at = len(w.unknowns)
				w.unknowns = append(w.unknowns, u)
			}
			o.unknowns = append(o.unknowns, *at)
		}
		u.reading, u.wrong, u.sister = -1, true, false
		w.wrongAt[d.Name] = len(w.unknowns)
		w.unknowns = append(w.unknowns, u)
	}
	w.start = make([]float64, len(w.unknowns))
	for k, u := range w.unknowns {
		w.start[k] = u.mid()
	}
}

// settings are the stimuli at an observation: what the job knows, and the unknown ones where they are taken to be.
func (w *Scales) settings(o *observation, at, on []float64) map[string]float64 {
	out := make(map[string]float64, len(w.j.Circuit.Devices))
	for i := range w.j.Circuit.Devices {
		d := &w.j.Circuit.Devices[i]
		if !d.Kind.HasStimulus() {
			continue
		}
		if v, known := w.j.SetOf(o.r, d); known {
			out[d.Name] = v
		}
	}
	for _, k := range o.unknowns {
		out[w.unknowns[k].device.Name] = at[k]
	}
	for _, k := range o.switches {
		out[w.switches[k].device.Name] = on[k]
	}
	return out
}

// soundScene is the network of an observation with the unknowns elsewhere and no part that reads wrong.
func (w *Scales) soundScene(o *observation, at, on []float64) *network.Scene {
	return w.sceneOf(o, w.settings(o, at, on))
}

// findSwitches lists the switches and switching sensors that no reading is told the state of.
func (w *Scales) findSwitches() {
	for n := range w.j.Circuit.Devices {
		d := &w.j.Circuit.Devices[n]
		if !d.Kind.TwoState() {
			continue
		}
		shared := [2]int{-1, -1}
		for i := range w.obs {
			o := &w.obs[i]
			if _, known := w.j.SetOf(o.r, d); known {
				continue
			}
			at := &shared[o.machine()]
			if *at < 0 || free(w.j, d) || o.alive() {
				*at = len(w.switches)
				w.switches = append(w.switches, unknown{device: d, low: 0, high: 1, reading: -1, sister: o.sound})
				w.on = append(w.on, d.Nominal())
			}
			o.switches = append(o.switches, *at)
		}
	}
}

// leansOn tells whether a parameter is a stimulus that is unknown at an observation.
func (o *observation) leansOn(w *Scales, q int) bool {
	for _, k := range o.unknowns {
		if w.unknowns[k].parameter == q {
			return true
		}
	}
	return false
}
