package view

import (
	"fmt"

	"ohmtrail/circuits"
	"ohmtrail/models"
	"ohmtrail/solver/plan"
)

// InUnits says what the module takes a scan value for, in the sensor's own unit: "130 kPa (MAP)". It is "" for a reading
// that is no plain scan value, and a pin without a sensor that has a scale.
func InUnits(j *circuits.Job, r circuits.Reading) string {
	d, set, possible := plan.InUnits(j, r)
	switch {
	case d == nil:
		return ""
	case !possible:
		return fmt.Sprintf("nothing that %s can show (%s to %s)", d.Name, InOwnUnit(d, d.Range[0]), InOwnUnit(d, d.Range[1]))
	}
	return fmt.Sprintf("%s (%s)", InOwnUnit(d, set), d.Name)
}

// InOwnUnit is a stimulus in the sensor's own unit.
func InOwnUnit(d *circuits.Device, set float64) string {
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
