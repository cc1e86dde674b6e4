package files

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"reflect"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/read"
)

func anyText([]byte) error { return nil }

// TestAppendKeepsEveryByte appends to texts with every kind of end and takes it back: what stood there stays, and comes
// back exactly.
func TestAppendKeepsEveryByte(t *testing.T) {
	for _, c := range []struct{ old, want string }{
		{"", "[[x]]\na = 1\n"},
		{"a = 1\n", "a = 1\n\n[[x]]\na = 1\n"},
		{"a = 1\n\n", "a = 1\n\n[[x]]\na = 1\n"},
		{"a = 1   # no line end", "a = 1   # no line end\n\n[[x]]\na = 1\n"},
		{"\ufeffa\t=  1\r\n", "\ufeffa\t=  1\r\n\r\n[[x]]\r\na = 1\r\n"},
		{"a = 1\r\n\r\n", "a = 1\r\n\r\n[[x]]\r\na = 1\r\n"},
	} {
		path := filepath.Join(t.TempDir(), "a.job.toml")
		if err := os.WriteFile(path, []byte(c.old), 0o640); err != nil {
			t.Fatal(err)
		}
		added, err := Append(path, "[[x]]\na = 1\n", anyText)
		if err != nil {
			t.Fatal(err)
		}
		holds(t, path, c.want, true)
		if err := added.TakeBack(anyText); err != nil {
			t.Fatal(err)
		}
		holds(t, path, c.old, true)
	}
}

func TestTakeBackLeavesLaterEdits(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.job.toml")
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	must(os.WriteFile(path, []byte("a = 1\n"), 0o644))
	edit := func(f func(string) string) {
		t.Helper()
		now, err := os.ReadFile(path)
		must(err)
		must(os.WriteFile(path, []byte(f(string(now))), 0o644))
	}
	first, err := Append(path, "[[x]]\nb = 1\n", anyText)
	must(err)
	edit(func(now string) string { return now + "# between\n" })
	second, err := Append(path, "[[x]]\nb = 1\n", anyText)
	must(err)
	edit(func(now string) string { return "# mine\n" + now + "# too\n" })
	must(second.TakeBack(anyText)) // the later of two that are the same
	holds(t, path, "# mine\na = 1\n\n[[x]]\nb = 1\n# between\n# too\n", true)
	must(first.TakeBack(anyText))
	holds(t, path, "# mine\na = 1\n# between\n# too\n", true)
	if err := first.TakeBack(anyText); !errors.Is(err, errMoved) {
		t.Errorf("taken back twice: %v", err)
	}
	holds(t, path, "# mine\na = 1\n# between\n# too\n", true)
}

// TestUnusableIsNotWritten: refused before the write, or only as it is read back, the old bytes stand.
func TestUnusableIsNotWritten(t *testing.T) {
	bad := errors.New("no job")
	for refusedAt := 1; refusedAt <= 2; refusedAt++ {
		path := filepath.Join(t.TempDir(), "a.job.toml")
		if err := os.WriteFile(path, []byte("a = 1"), 0o644); err != nil {
			t.Fatal(err)
		}
		asked := 0
		_, err := Append(path, "b = 2\n", func(body []byte) error {
			if asked++; asked == refusedAt {
				return bad
			}
			if !bytes.HasSuffix(body, []byte("b = 2\n")) {
				t.Errorf("asked about %q", body)
			}
			return nil
		})
		if !errors.Is(err, bad) || asked != refusedAt {
			t.Errorf("asked %d times, %v", asked, err)
		}
		holds(t, path, "a = 1", true)
	}
}

// TestReadingBlockReadsBack writes readings of every kind and parses them again.
func TestReadingBlockReadsBack(t *testing.T) {
	point := func(s string) circuits.Point {
		p, err := circuits.ParsePoint(s)
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	at := func(s string) circuits.Location { return circuits.PointLocation(point(s)) }
	on, off := circuits.State{Key: circuits.KeyOn}, circuits.State{Key: circuits.KeyOff, Unplugged: []string{"TPS", "ECM"}}
	rigged := circuits.State{Key: circuits.KeyRun, Unplugged: []string{"TPS"}, Set: []circuits.SetDevice{{Device: "TPS", Set: 0.3}},
		Jumpers: [][2]circuits.Point{{point("TPS:1"), point("TPS:3")}}, Loads: []circuits.LoadLead{{From: point("TPS:1"), To: circuits.BNegative, Ohms: 220}}}
	const circuit = `format = 1
[module.ECM]
pins.1 = { kind = "reference" }
pins.2 = { kind = "input" }
pins.3 = { kind = "return" }
[device.TPS]
kind = "potentiometer"
ohms = 5000
terminals = { supply = "1", return = "2", wiper = "3" }
[[run]]
path = ["ECM:1", "TPS:1"]
[[run]]
path = ["ECM:3", "TPS:2"]
[[run]]
path = ["ECM:2", "TPS:3"]
`
	open := func(string) (string, []byte, error) { return "c", []byte(circuit), nil }
	for _, r := range []circuits.Reading{
		{At: at("TPS:1"), To: circuits.BNegative, Quantity: circuits.Volts, State: on, Taken: true, Value: 5, High: 5},
		{At: at("TPS:1"), To: point("TPS:2"), Quantity: circuits.Volts, State: rigged, Taken: true, Value: -0.00125, High: 12.6, Pair: true, Note: "a \"b\"\\ \t\u00e9"},
		{At: at("ECM:2"), To: circuits.BNegative, Quantity: circuits.ScanVolts, State: on, Taken: true, Value: 0.98, High: 0.98, Wiggle: "TPS:3", Symptom: circuits.SymptomThere},
		{At: at("TPS:1/device"), To: point("TPS:2/device"), Quantity: circuits.Ohms, State: off, Taken: true, Value: 4700, High: 4700},
		{At: at("TPS:1/device"), To: point("TPS:2/device"), Quantity: circuits.Ohms, State: off, Taken: true, Value: 40e6, High: 40e6, OL: true},
		{At: at("TPS:1/device"), To: point("TPS:2/device"), Quantity: circuits.Ohms, State: off, Taken: true, Value: 12, High: 40e6, OL: true, Pair: true},
		{At: circuits.WireLocation(point("ECM:1"), point("TPS:1")), To: circuits.BNegative, Quantity: circuits.Amps, State: on, Taken: true, Value: 1e-3, High: 1e-3},
		{At: at("TPS:1/device"), To: point("TPS:2/device"), Quantity: circuits.Ohms, State: off},
		{At: at("ECM:2"), To: circuits.BNegative, Quantity: circuits.ScanVolts, State: on},
	} {
		block := ReadingBlock(r)
		j, problems := read.Job("j", []byte("format = 1\ncircuit = \"c\"\n"+block), open)
		if j == nil || len(j.Readings) != 1 {
			t.Errorf("%v\n%s", problems, block)
			continue
		}
		got := j.Readings[0]
		got.Line = 0
		if !reflect.DeepEqual(got, r) {
			t.Errorf("%s is read back as\n%+v, want\n%+v", block, got, r)
		}
	}
}
