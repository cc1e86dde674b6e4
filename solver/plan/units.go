package plan

import (
	"ohmtrail/circuits"
	"ohmtrail/solver/network"
)

// InUnits is what the module takes a scan value for, as the stimulus of its sensor; possible is false for a value that the
// sensor cannot give. The device is nil for a reading that is no plain scan value and a pin without a sensor that has a scale.
func InUnits(j *circuits.Job, r circuits.Reading) (d *circuits.Device, set float64, possible bool) {
	if r.Quantity != circuits.ScanVolts || !r.Taken || r.Pair || len(r.State.Unplugged)+len(r.State.Jumpers)+len(r.State.Loads) > 0 {
		return nil, 0, false
	}
	lines := conductors(j.Circuit)
	for i := range j.Circuit.Devices {
		d := &j.Circuit.Devices[i]
		if in, ok := inputOf(j.Circuit, lines, d); !ok || in != r.Point() || !d.Kind.HasStimulus() || d.Kind.TwoState() {
			continue
		}
		set, possible := stimulusFor(j, d, r.Point(), r.Value)
		return d, set, possible
	}
	return nil, 0, false
}

// stimulusFor is the stimulus at which a healthy circuit gives a module pin that many volts; ok is false where none in
// the sensor's range does.
func stimulusFor(j *circuits.Job, d *circuits.Device, in circuits.Point, volts float64) (set float64, ok bool) {
	value := func(set float64) float64 { return pinVolts(j, d, in, set, circuits.Single{}) }
	low, high := d.Range[0], d.Range[1]
	atLow, atHigh := value(low), value(high)
	if (volts-atLow)*(volts-atHigh) > 0 {
		return 0, false
	}
	for range 24 { // to a sixteen-millionth of the range
		mid := (low + high) / 2
		if (value(mid)-volts)*(atLow-volts) > 0 {
			low = mid
		} else {
			high = mid
		}
	}
	return (low + high) / 2, true
}

// pinVolts is a module pin's voltage above B-, as the module itself sees it.
func pinVolts(j *circuits.Job, d *circuits.Device, in circuits.Point, set float64, f circuits.Single) float64 {
	reading := circuits.Reading{At: circuits.PointLocation(in), To: circuits.BNegative, Quantity: circuits.Volts, State: circuits.State{Key: circuits.KeyOn}}
	meter := j.Meter
	meter.InputOhms = 1e12 // the module's own view: no meter
	return network.Read(j.Circuit, meter, reading, map[string]float64{d.Name: set}, circuits.Fault{First: f}).Value
}
