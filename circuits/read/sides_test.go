package read_test

import (
	"strings"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/read"
)

// sidesHead is a module before a connector and a part behind it.
const sidesHead = `format = 1
[battery]
volts = 12
[module.M]
pins.1 = { kind = "reference" }
pins.2 = { kind = "input" }
pins.3 = { kind = "return" }
[device.D]
kind = "potentiometer"
terminals = { supply = "1", wiper = "2", return = "3" }
ohms = "5k"
[connector.C]
sides = ["near", "far"]
[ground.G]
`

// withPaths is a circuit of paths, each as its elements with blanks between.
func withPaths(t *testing.T, paths ...string) *circuits.Circuit {
	t.Helper()
	text := sidesHead
	for _, p := range paths {
		text += "[[run]]\npath = [\"" + strings.Join(strings.Fields(p), `", "`) + "\"]\n"
	}
	c, problems := read.Circuit("sides.circuit.toml", []byte(text))
	for _, p := range problems {
		if !p.Warning {
			t.Fatalf("%q: %s", paths, p)
		}
	}
	return c
}

// The ends of wires at a connector lie where the paths put them, whatever the direction each is written in.
func TestSidesOfWiresAtAConnector(t *testing.T) {
	for _, test := range []struct {
		name  string
		paths []string
		want  string // ends of wires at connectors in file order, mated contacts behind "|"
	}{
		{"all forward", []string{"M:1 C:1 D:1", "M:3 C:3 D:3"}, "C:1/near C:1/far C:3/near C:3/far | C:1 C:3"},
		{"the second written from the part", []string{"M:1 C:1 D:1", "D:3 C:3 M:3"}, "C:1/near C:1/far C:3/far C:3/near | C:1 -C:3"},
		{"the first path is first to second, whichever way it is written", []string{"D:1 C:1 M:1", "M:3 C:3 D:3"}, "C:1/near C:1/far C:3/far C:3/near | C:1 -C:3"},
		{"nothing in common", []string{"M:1 C:1 S1", "D:1 C:2 S2"}, "C:1/near C:1/far C:2/near C:2/far | C:1 C:2"},
		{"tied by a later path", []string{"M:1 C:1 S1", "D:1 C:2 S2", "S2 C:3 S1"}, "C:1/near C:1/far C:2/far C:2/near C:3/near C:3/far | C:1 -C:2 C:3"},
		{"a ground from the part to the stud, another from the stud", []string{"D:1 C:1 G", "G C:2 S1"}, "C:1/near C:1/far C:2/far C:2/near | C:1 -C:2"},
		{"a stud with wires from both sides decides nothing", []string{"M:1 C:1 D:1", "M:3 C:3 G", "G C:4 D:3"}, "C:1/near C:1/far C:3/near C:3/far C:4/near C:4/far | C:1 C:3 C:4"},
		{"a battery post is on no side", []string{"M:1 C:1 B-", "B- C:2 D:1"}, "C:1/near C:1/far C:2/near C:2/far | C:1 C:2"},
		{"another connector in common", []string{"M:1 C:1 K:1 S1", "S2 K:2 C:2 S3"}, "C:1/near C:1/far K:1/a K:1/b K:2/b K:2/a C:2/far C:2/near | C:1 K:1 -K:2 -C:2"},
		{"there and back", []string{"M:1 C:1 S1 C:2 M:2"}, "C:1/near C:1/far C:2/far C:2/near | C:1 -C:2"},
		{"a socket", []string{"M:1 C:6"}, "C:6/near |"},
		{"a socket, written from it", []string{"C:6 M:1", "M:3 C:5"}, "C:6/near C:5/near |"},
		{"a spare cavity of a crossed connector, behind it", []string{"M:1 C:1 D:1", "D:3 C:9"}, "C:1/near C:1/far C:9/far | C:1"},
		{"a spare cavity, before it", []string{"M:1 C:1 D:1", "C:9 M:3"}, "C:1/near C:1/far C:9/near | C:1"},
		{"a spare cavity of nothing known", []string{"M:1 C:1 D:1", "C:9 S1"}, "C:1/near C:1/far C:9/near | C:1"},
		{"a way in two runs", []string{"M:1 C:1", "C:1 D:1"}, "C:1/near C:1/far | C:1"},
		{"a way in two runs that meet", []string{"M:1 C:1 D:1", "M:3 C:3", "D:3 C:3"}, "C:1/near C:1/far C:3/near C:3/far | C:1 C:3"},
		{"two wires crimped into a socket", []string{"M:1 C:1", "D:1 C:1"}, "C:1/near C:1/near |"},
	} {
		c := withPaths(t, test.paths...)
		var got []string
		for _, w := range c.Wires {
			for _, end := range []circuits.Point{w.From, w.To} {
				if c.Connector(end.Place) != nil {
					got = append(got, end.String())
				}
			}
		}
		got = append(got, "|")
		for _, k := range c.Contacts {
			if c.Connector(k.Place) != nil {
				from, _ := k.InPathOrder()
				against := ""
				if from == k.Second {
					against = "-"
				}
				got = append(got, against+k.Location.String())
			}
		}
		if text := strings.Join(got, " "); text != test.want {
			t.Errorf("%s: %q gives\n%s, want\n%s", test.name, test.paths, text, test.want)
		}
	}
}
