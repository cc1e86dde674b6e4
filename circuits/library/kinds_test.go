package library

import (
	"testing"

	"ohmtrail/circuits"
)

// Every kind of the tables of kinds stands in a circuit that comes along (see "To add a device" in DEVELOPERS.md).
func TestEveryKindHasACircuit(t *testing.T) {
	devices, pins := map[string]bool{}, map[string]bool{}
	for _, name := range Names() {
		c, err := Circuit(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range c.Devices {
			devices[string(d.Kind)] = true
		}
		for _, m := range c.Modules {
			for _, p := range m.Pins {
				pins[string(p.Kind)] = true
			}
		}
	}
	for _, kind := range circuits.DeviceKinds() {
		if !devices[kind] {
			t.Errorf("no library circuit has a device of kind %q", kind)
		}
	}
	for _, kind := range circuits.PinKinds() {
		if !pins[kind] {
			t.Errorf("no library circuit has a pin of kind %q", kind)
		}
	}
}
