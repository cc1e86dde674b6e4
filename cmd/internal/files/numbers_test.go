package files

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
)

func TestSetNumbers(t *testing.T) {
	pin := []string{"module", "ECU", "pins", "A12"}
	for _, x := range []struct {
		name, text, want string
		n                Number
	}{
		{"over a value in an inline table",
			"[module.ECU]\npins.A12 = { kind = \"input\", pull_up_ohms = \"47k\", bits = 12 } # NTC\n",
			"[module.ECU]\npins.A12 = { kind = \"input\", pull_up_ohms = [3900, 4300], bits = 12 } # NTC\n",
			Number{pin, "pull_up_ohms", "[3900, 4300]"}},
		{"over a range", "[module.ECU]\npins.A12 = { pull_up_ohms = [1000, \"4k7\"], kind = \"input\" }\n",
			"[module.ECU]\npins.A12 = { pull_up_ohms = 2200, kind = \"input\" }\n", Number{pin, "pull_up_ohms", "2200"}},
		{"as a further key", "[module.ECU]\npins.A12 = { kind = \"input\", below = { volts = 0.2, code = \"P, }\" } }\n",
			"[module.ECU]\npins.A12 = { kind = \"input\", below = { volts = 0.2, code = \"P, }\" }, input_ohms = [1, 2] }\n", Number{pin, "input_ohms", "[1, 2]"}},
		{"in a table of its own", "[module.ECU.pins.A12] # here\nkind = \"input\"\n", "[module.ECU.pins.A12] # here\ninput_ohms = 5\nkind = \"input\"\n", Number{pin, "input_ohms", "5"}},
		{"of a device, with the line ends of the file", "[device.MAP]\r\nkind = \"ratiometric\"\r\n[device.X]\r\n",
			"[device.MAP]\r\noutput_ohms = 5\r\nkind = \"ratiometric\"\r\n[device.X]\r\n", Number{[]string{"device", "MAP"}, "output_ohms", "5"}},
	} {
		got, err := x.n.in([]byte(x.text))
		if err != nil || string(got) != x.want {
			t.Errorf("%s: %v\n%s\nwant\n%s", x.name, err, got, x.want)
		}
	}
	if _, err := (Number{pin, "bits", "3"}).in([]byte("[module.ECU]\npins.A12.kind = \"input\"\n")); !errors.Is(err, errNoEntry) {
		t.Errorf("dotted keys: %v", err)
	}
}

// A number that the circuit cannot have leaves the file as it was.
func TestSetNumbersLeavesWhatIsNotUsable(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.circuit.toml")
	text := "[device.MAP]\nkind = \"ratiometric\"\n"
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	no := errors.New("no")
	err := SetNumbers(path, []Number{{[]string{"device", "MAP"}, "low", "2"}}, func([]byte) error { return no })
	if got, _ := os.ReadFile(path); !errors.Is(err, no) || string(got) != text {
		t.Errorf("%v\n%s", err, got)
	}
}
