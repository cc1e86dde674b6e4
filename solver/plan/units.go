package plan

import (
	"fmt"

	"ohmtrail/circuits"
	"ohmtrail/models"
	"ohmtrail/solver/network"
)

// InUnits says what the module takes a scan value for, in the sensor's own unit: "130 kPa (MAP)". It is "" for a reading
// that is no plain scan value, a pin without a sensor that has a scale, and a value that the sensor cannot give.
func InUnits(j *circuits.Job, r circuits.Reading) string {
	if r.Quantity != circuits.ScanVolts || !r.Taken || r.Pair || len(r.State.Unplugged)+len(r.State.Jumpers)+len(r.State.Loads) > 0 {
		return ""
	}
	lines := conductors(j.Circuit)
	for i := range j.Circuit.Devices {
		d := &j.Circuit.Devices[i]
		if in, ok := inputOf(j.Circuit, lines, d); !ok || in != r.Point() || !d.Kind.HasStimulus() || d.Kind.TwoState() {
			continue
		}
		set, ok := stimulusFor(j, d, r.Point(), r.Value)
		if !ok {
			return fmt.Sprintf("nothing that %s can show (%s to %s)", d.Name, stimulusText(d, d.Range[0]), stimulusText(d, d.Range[1]))
		}
		return fmt.Sprintf("%s (%s)", stimulusText(d, set), d.Name)
	}
	return ""
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

// stimulusText is a stimulus in the sensor's own unit.
func stimulusText(d *circuits.Device, set float64) string {
	switch {
	case d.Reads != nil:
		return plain(d.Reads.At(set)) + " " + d.Reads.Unit
	case d.Kind == circuits.Thermistor || d.Kind == circuits.RTD:
		return fmt.Sprintf("%.0f °C", set)
	case d.Kind == circuits.Zirconia:
		return models.Volts(set)
	case d.Kind == circuits.CurrentLoop:
		return fmt.Sprintf("%.2f mA", set)
	}
	return fmt.Sprintf("%.0f %%", 100*set)
}

// plain prints three significant digits without an exponent.
func plain(v float64) string {
	switch a := max(v, -v); {
	case a >= 100:
		return fmt.Sprintf("%.0f", v)
	case a >= 10:
		return fmt.Sprintf("%.1f", v)
	}
	return fmt.Sprintf("%.2f", v)
}
