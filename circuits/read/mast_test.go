package read

import (
	"math"
	"os"
	"reflect"
	"strings"
	"testing"

	"ohmtrail/circuits"
)

// mast is the circuit that the contract shows, made whole.
func mast(t *testing.T) *circuits.Circuit {
	t.Helper()
	c, problems := Circuit("mast.circuit.toml", mastText(t))
	if c == nil {
		t.Fatal(problems)
	}
	return c
}

func mastText(t *testing.T) []byte {
	t.Helper()
	text, err := os.ReadFile("testdata/mast.circuit.toml")
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// circuitOf parses a text that is sound.
func circuitOf(t *testing.T, text string) *circuits.Circuit {
	t.Helper()
	c, problems := Circuit("x.circuit.toml", []byte(text))
	if c == nil {
		t.Fatal(problems)
	}
	return c
}

func locations[T any](list []T, of func(T) circuits.Location) string {
	var out []string
	for _, x := range list {
		out = append(out, of(x).String())
	}
	return strings.Join(out, " ")
}

func TestWiresAreNamedInPathOrder(t *testing.T) {
	c := mast(t)
	want := "MCU:A1>C7:1 C7:1>MHS:1 MCU:A2>C7:2 C7:2>MHS:2 MCU:A3>C7:3 C7:3>S2 S2>MHS:3 S2>MTS:3 MCU:A4>C7:4 C7:4>MTS:1 " +
		"B+>MCU:B1 MCU:B2>G1 MCU:B3>J1:15"
	if got := locations(c.Wires, func(w circuits.Wire) circuits.Location { return w.Location }); got != want {
		t.Errorf("wires\n got %s\nwant %s", got, want)
	}
	for _, w := range c.Wires {
		l, err := circuits.ParseLocation(w.Location.String())
		if err != nil || c.Wire(l) == nil || *c.Wire(l) != w {
			t.Errorf("%s does not find its wire again: %v", w.Location, err)
		}
	}
	if got, err := c.ResolveFault(circuits.Fault{First: circuits.Single{Kind: circuits.Open, At: circuits.WireLocation(circuits.Point{Place: "S2"}, circuits.Point{Place: "C7", Cavity: "3"})}}); err != nil || got.String() != "open C7:3>S2" {
		t.Errorf("a wire named from its far end is %q, %v; want open C7:3>S2", got, err)
	}
}

func TestContactsAreWhatIsMated(t *testing.T) {
	c := mast(t)
	// J1:15 is a socket: a wire ends there and nothing is plugged in, so that nothing is mated.
	want := "MCU:A1 C7:1 MHS:1 MCU:A2 C7:2 MHS:2 MCU:A3 C7:3 MHS:3 MTS:3 MCU:A4 C7:4 MTS:1 MCU:B1 MCU:B2 MCU:B3"
	if got := locations(c.Contacts, func(k circuits.Contact) circuits.Location { return k.Location }); got != want {
		t.Errorf("contacts\n got %s\nwant %s", got, want)
	}
	k := c.Contact(circuits.PointLocation(circuits.Point{Place: "C7", Cavity: "3"}))
	if k.First.String() != "C7:3/chassis" || k.Second.String() != "C7:3/mast" || k.Place != "C7" {
		t.Errorf("C7:3 is mated from %s to %s of %s", k.First, k.Second, k.Place)
	}
	k = c.Contact(circuits.PointLocation(circuits.Point{Place: "MHS", Cavity: "3"}))
	if k.First.String() != "MHS:3" || k.Second.String() != "MHS:3/device" || k.Place != "MHS" {
		t.Errorf("MHS:3 is mated from %s to %s of %s", k.First, k.Second, k.Place)
	}
}

func TestWiresEndOnTheHalvesOfAConnector(t *testing.T) {
	c := mast(t)
	ends := map[string][2]string{
		"MCU:A3>C7:3":  {"MCU:A3", "C7:3/chassis"},
		"C7:3>S2":      {"C7:3/mast", "S2"},
		"S2>MHS:3":     {"S2", "MHS:3"},
		"MCU:B3>J1:15": {"MCU:B3", "J1:15/a"}, // undeclared: the halves are a and b
	}
	for _, w := range c.Wires {
		if want, ok := ends[w.Location.String()]; ok && (w.From.String() != want[0] || w.To.String() != want[1]) {
			t.Errorf("%s runs from %s to %s, want %v", w.Location, w.From, w.To, want)
		}
	}
	if !c.Connector("C7").Crossed || c.Connector("J1").Crossed {
		t.Error("C7 has a second half, and the socket J1 has none")
	}
	if s := c.Splice("S2"); s.Legs != 3 {
		t.Errorf("S2 has %d legs, want 3", s.Legs)
	}
}

// A path may begin at a socket too. Where one path ends at a way and another begins there, the two wires are mated.
func TestPathsThatBeginOrEndAtAConnector(t *testing.T) {
	c := circuitOf(t, `format = 1
[connector.C7]
sides = ["chassis", "mast"]
[[run]]
path = ["J1:4", "S1"]
[[run]]
path = ["S1", "B-"]
[[run]]
path = ["B+", "C7:1"]
[[run]]
path = ["C7:1", "S1"]
[[run]]
path = ["B+", "C7:2"]
`)
	want := []string{"J1:4/a S1", "S1 B-", "B+ C7:1/chassis", "C7:1/mast S1", "B+ C7:2/chassis"}
	for i, w := range c.Wires {
		if got := w.From.String() + " " + w.To.String(); got != want[i] {
			t.Errorf("wire %s runs %s, want %s", w.Location, got, want[i])
		}
	}
	if got := locations(c.Contacts, func(k circuits.Contact) circuits.Location { return k.Location }); got != "C7:1" {
		t.Errorf("mated are %q, want C7:1 only: C7:2 is a spare way and J1:4 a socket", got)
	}
}

func TestLocationsOfFaults(t *testing.T) {
	c := mast(t)
	for _, name := range []string{
		"healthy", "unlisted", "open MCU:A3>C7:3", "open C7:3", "open MHS:3", "open MCU:A3", "open G1", "high-resistance G1 0.5",
		"high-resistance C7:3 120", "short-to-ground C7:2>MHS:2 0", "short-to-voltage MCU:A2>C7:2 47", "short-to-ground MHS:2",
		"short-between C7:1>MHS:1 C7:2>MHS:2 1000", "short-between C7:1 C7:2", "swapped C7:1 C7:2",
		"device MHS: open inside", "device MHS: shorted inside", "device MHS: reads wrong",
		"module MCU:A1 open inside", "module MCU:A1 reference dead", "module MCU:A2 pull-up lost",
		"open MCU:A3>C7:3 + high-resistance S2>MHS:3 10",
	} {
		f, err := circuits.ParseFault(name)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if f.String() != name {
			t.Errorf("%s prints as %s", name, f)
		}
		if resolved, err := c.ResolveFault(f); err != nil || resolved != f {
			t.Errorf("%s resolves to %s, %v", name, resolved, err)
		}
	}
	if got := c.Pin(circuits.Point{Place: "MCU", Cavity: "A1"}).Inside().String(); got != "MCU:A1/device" {
		t.Errorf("a pin's inside is %s", got)
	}
}

func TestOhmsOfFaultsInLetterCode(t *testing.T) {
	for name, ohms := range map[string]float64{"high-resistance C7:3 4k7": 4700, "short-to-ground C7:3 0R5": 0.5, "short-to-ground C7:3 100k": 1e5, "short-to-ground C7:3 0": 0} {
		f, err := circuits.ParseFault(name)
		if err != nil || !f.First.HasOhms || f.First.Ohms != ohms {
			t.Errorf("%s has %v Ω (%v), want %v", name, f.First.Ohms, err, ohms)
		}
		if back, err := circuits.ParseFault(f.String()); err != nil || back != f {
			t.Errorf("%s reads back as %s, %v", f, back, err)
		}
	}
}

// Two faults stand in the order in which the file names their places.
func TestDoubleFaultsStandInFileOrder(t *testing.T) {
	order := func(c *circuits.Circuit, name string) string {
		f, err := circuits.ParseFault(name)
		if err == nil {
			f, err = c.ResolveFault(f)
		}
		if err != nil {
			t.Fatal(err)
		}
		return f.String()
	}
	c := mast(t)
	for name, want := range map[string]string{
		"open S2>MHS:3 + open MCU:A3>C7:3":                         "open MCU:A3>C7:3 + open S2>MHS:3",
		"open MHS:3 + open S2>MHS:3":                               "open S2>MHS:3 + open MHS:3",
		"open C7:1>MHS:1 + open C7:1":                              "open C7:1 + open C7:1>MHS:1",
		"open C7:3 + device MHS: open inside":                      "device MHS: open inside + open C7:3",
		"open G1 + module MCU:A1 reference dead":                   "module MCU:A1 reference dead + open G1",
		"module MCU:B1 open inside + module MCU:A3 open inside":    "module MCU:A3 open inside + module MCU:B1 open inside",
		"high-resistance MTS:1 5 + high-resistance MCU:A4>C7:4 10": "high-resistance MCU:A4>C7:4 10 + high-resistance MTS:1 5",
	} {
		if got := order(c, name); got != want {
			t.Errorf("%s is %s, want %s", name, got, want)
		}
	}
	// The same parts, and the runs on top: now the contacts come before the device.
	turned := circuitOf(t, `format = 1
[[run]]
path = ["B+", "R1:1"]
[[run]]
path = ["R1:2", "G1"]
[ground.G1]
[device.R1]
kind = "resistor"
terminals = { a = "1", b = "2" }
ohms = 10
`)
	if got, want := order(turned, "device R1: open inside + open R1:2"), "open R1:2 + device R1: open inside"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

func TestPlugsOfPointsAndNames(t *testing.T) {
	c := mast(t)
	for text, want := range map[string]string{"MCU:A3": "MCU.A", "MCU:B1": "MCU.B", "MHS:2": "MHS", "C7:3": "C7", "C7:3/mast": "C7", "MHS:2/device": "MHS", "S2": "", "G1": "", "B+": ""} {
		p, err := circuits.ParsePoint(text)
		if err != nil {
			t.Fatal(err)
		}
		if got := c.PlugOf(p); got != want {
			t.Errorf("%s belongs to the plug %q, want %q", text, got, want)
		}
	}
	for name, want := range map[string][]string{
		"MCU": {"MCU.A", "MCU.B"}, "MCU.A": {"MCU.A"}, "MHS": {"MHS"}, "C7": {"C7"}, "J1": {"J1"}, "S2": nil, "G1": nil, "B+": nil, "MCU.C": nil, "": nil,
	} {
		if got := c.PlugsNamed(name); !reflect.DeepEqual(got, want) {
			t.Errorf("unplugging %s takes %v apart, want %v", name, got, want)
		}
	}
	if got, want := strings.Join(c.Plugs(), " "), "MCU.A MCU.B MHS MTS C7 J1"; got != want {
		t.Errorf("plugs %s, want %s", got, want)
	}
	plain := circuitOf(t, "format = 1\n[module.ECU]\npins.1 = { kind = \"power\" }\npins.34 = { kind = \"ground\" }\n[[run]]\npath = [\"B+\", \"ECU:1\"]\n[[run]]\npath = [\"ECU:34\", \"B-\"]\n")
	if got := plain.PlugsNamed("ECU"); !reflect.DeepEqual(got, []string{"ECU"}) {
		t.Errorf("plain numbers belong to the one connector ECU, not %v", got)
	}
}

func TestPointsResolveToTheirSide(t *testing.T) {
	c := mast(t)
	for text, want := range map[string]string{"C7:3": "C7:3/chassis", "C7:3/mast": "C7:3/mast", "MHS:3": "MHS:3", "MHS:3/device": "MHS:3/device", "S2": "S2", "G1": "G1", "B-": "B-", "J1:15": "J1:15/a"} {
		p, err := circuits.ParsePoint(text)
		if err == nil {
			p, err = c.Resolve(p)
		}
		if err != nil || p.String() != want {
			t.Errorf("%s resolves to %s (%v), want %s", text, p, err, want)
		}
	}
	for _, text := range []string{"C7:9", "C7", "C7:3/roof", "MHS:3/mast", "S2:1", "X1:1"} {
		p, err := circuits.ParsePoint(text)
		if err == nil {
			_, err = c.Resolve(p)
		}
		if err == nil {
			t.Errorf("%s resolves, and should not", text)
		}
	}
}

// The contract: 0.5 mm² has 37.1 Ω/km and 1.5 mm² 12.7 Ω/km; a wire is 0.5 mm² and 1 m where the file does not say.
// AWG 16: d = 0.127·92^(20/39) = 1.2908 mm, A = 1.3087 mm², 18.5/1.3087 = 14.136 Ω/km.
func TestOhmsOfWires(t *testing.T) {
	c := mast(t)
	for name, want := range map[string]float64{"MCU:A3>C7:3": 2.4 * 0.0371, "C7:3>S2": 0.6 * 0.0371, "S2>MHS:3": 0.3 * 0.0371, "MCU:A1>C7:1": 0.0371, "MCU:B2>G1": 0.0127, "B+>MCU:B1": 0.014136} {
		l, _ := circuits.ParseLocation(name)
		if got := c.Wire(l).Ohms; math.Abs(got-want) > 1e-6 {
			t.Errorf("%s has %.6f Ω, want %.6f", name, got, want)
		}
	}
	if w := c.Wires[0]; w.Color != "OG" || c.Wires[1].Color != "OG/WH" || c.Wires[4].Color != "BN" || c.Wires[6].Color != "BN" {
		t.Errorf("colours are %q, %q, %q", w.Color, c.Wires[1].Color, c.Wires[4].Color)
	}
}
