package hypothesis

import (
	"fmt"

	"ohmtrail/circuits"
)

// Steady tells whether a fault cannot come and go: two ways changed over stay so.
func Steady(f circuits.Single) bool { return f.Kind == circuits.Swapped }

// ReadsWrong tells whether a fault makes a device show another stimulus than there is.
func ReadsWrong(f circuits.Fault, device string) bool {
	for _, s := range []circuits.Single{f.First, f.Second} {
		if s.Kind == circuits.DeviceInside && s.Words == circuits.ReadsWrong && s.At.From.Place == device {
			return true
		}
	}
	return false
}

// CheckFault resolves a fault name against a job's circuit.
func CheckFault(j *circuits.Job, name string) (circuits.Fault, error) {
	f, err := circuits.ParseFault(name)
	if err != nil {
		return f, err
	}
	if f, err = j.Circuit.ResolveFault(f); err != nil {
		return f, err
	}
	if f.First.Kind == circuits.Unlisted {
		return f, fmt.Errorf("fault %q predicts no reading", name)
	}
	return f, nil
}
