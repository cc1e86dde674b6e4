package evidence

import (
	"math"

	"ohmtrail/circuits"
	"ohmtrail/solver/network"
)

// scenarioCount is how many joint settings of the unknown stimuli are tried. It is prime, so that every stride through
// it visits every cell: each stimulus is stratified by itself, and no two move together.
const scenarioCount = 5

// scenarios are joint settings of the stimuli that a job does not know.
type scenarios struct {
	sets  []map[string]float64 // one for each scenario; at least one
	span  []float64            // by parameter: the range of an unknown stimulus, 0 for anything else
	mid   []float64            // by parameter: the middle of that range
	parts []string             // by parameter: the device
	two   bool                 // an unknown switch or switching sensor is among them
}

// newScenarios spreads the unknown stimuli of a job. wrong, if not empty, is a device whose own stimulus is taken as
// unknown although the job knows it.
func newScenarios(j *circuits.Job, parameters []network.Parameter) scenarios {
	s := scenarios{span: make([]float64, len(parameters)), mid: make([]float64, len(parameters)), parts: make([]string, len(parameters))}
	var unknown []*circuits.Device
	for i := range j.Circuit.Devices {
		d := &j.Circuit.Devices[i]
		if d.Kind.HasStimulus() && !knownEverywhere(j, d) {
			unknown = append(unknown, d)
			s.two = s.two || d.Kind.TwoState()
		}
	}
	for p, parameter := range parameters {
		if parameter.Kind != network.Stimulus {
			continue
		}
		d := j.Circuit.Device(parameter.Place.Place)
		s.parts[p] = d.Name
		s.mid[p] = (d.Range[0] + d.Range[1]) / 2
		for _, u := range unknown {
			if u == d {
				s.span[p] = d.Range[1] - d.Range[0]
			}
		}
	}
	count := scenarioCount
	if len(unknown) == 0 {
		count = 1
	}
	for k := range count {
		set := map[string]float64{}
		for i, d := range unknown {
			cell := ((k+1)*(i%(count-1)+1) + i/(count-1)) % count
			if d.Kind.TwoState() {
				set[d.Name] = float64((cell + k) % 2)
				if i == 0 {
					set[d.Name] = float64(k % 2)
				}
				continue
			}
			set[d.Name] = d.Range[0] + (float64(cell)+0.5)/float64(count)*(d.Range[1]-d.Range[0])
		}
		s.sets = append(s.sets, set)
	}
	return s
}

// knownEverywhere tells whether a device's stimulus is known at every reading and needs no scenarios.
func knownEverywhere(j *circuits.Job, d *circuits.Device) bool {
	if d.HasSet {
		return true
	}
	if _, ok := j.Assume[d.Name]; ok {
		return true
	}
	for _, r := range j.Readings {
		if _, ok := j.SetOf(r, d); !ok && r.Taken {
			return false
		}
	}
	return len(j.Readings) > 0
}

// stimuli are the settings of all devices at a reading in a scenario.
func (s scenarios) stimuli(j *circuits.Job, r circuits.Reading, k int) map[string]float64 {
	out := map[string]float64{}
	for i := range j.Circuit.Devices {
		d := &j.Circuit.Devices[i]
		if !d.Kind.HasStimulus() {
			continue
		}
		if v, ok := j.SetOf(r, d); ok {
			out[d.Name] = v
		} else if v, ok := s.sets[k][d.Name]; ok {
			out[d.Name] = v
		} else {
			out[d.Name] = d.Nominal()
		}
	}
	return out
}

// anyUnknown tells whether a scenario sets anything at a reading.
func (s scenarios) anyUnknown(j *circuits.Job, r circuits.Reading) bool {
	for name := range s.sets[0] {
		if _, ok := j.SetOf(r, j.Circuit.Device(name)); !ok {
			return true
		}
	}
	return false
}

// uniformSD is the standard deviation of a uniform variable over a span.
func uniformSD(span float64) float64 { return span / math.Sqrt(12) }
