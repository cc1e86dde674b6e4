package read

import (
	"strings"
	"testing"
)

// linesOf compares the lines of paths in a text with those that are counted by hand.
func linesOf(t *testing.T, text string, want map[string]int) {
	t.Helper()
	p := findPositions([]byte(text))
	for path, line := range want {
		if _, known := p.lines[path]; !known {
			t.Errorf("%s is unknown", path)
		} else if got := p.At(path); got != line {
			t.Errorf("%s is on line %d, want %d", path, got, line)
		}
	}
}

func TestPositionsOfRepeatedTables(t *testing.T) {
	// The decoder itself would give the last [[run]] for all of them.
	linesOf(t, `format = 1
[[run]]
name = "one"
path = ["A", "B"]

[[run]]
path = ["B", "C"]
name = "two"
[[reading]]
at = "A"
[[run]]
name = "three"
`, map[string]int{
		"format": 1, "run": 2, "run[0]": 2, "run[0].name": 3, "run[0].path[1]": 4,
		"run[1]": 6, "run[1].path": 7, "run[1].path[0]": 7, "run[1].name": 8,
		"reading[0].at": 10, "run[2]": 11, "run[2].name": 12,
	})
}

func TestPositionsOfTablesInsideRepeatedTables(t *testing.T) {
	linesOf(t, `[[reading]]
at = "A"
[reading.set]
MHS = 1
[[reading.load]]
from = "A"
[[reading.load]]
from = "B"
[[reading]]
at = "B"
[[reading.load]]
from = "C"
[reading.load.more]
x = 1
`, map[string]int{
		"reading[0].set.MHS": 4, "reading[0].load": 5, "reading[0].load[0].from": 6, "reading[0].load[1]": 7,
		"reading[0].load[1].from": 8, "reading[1]": 9, "reading[1].load[0]": 11, "reading[1].load[0].from": 12,
		"reading[1].load[0].more.x": 14,
	})
}

func TestPositionsInNestedInlineTables(t *testing.T) {
	linesOf(t, `[module.MCU]
pins.A2 = { kind = "input", below = { volts = 0.25, code = "X" } }
pins.A3 = {
  kind = "input", # TOML 1.1 allows lines in here
  above = { volts = 4.75,
            code = "Y" },
}
load = [{ from = "A" }, { from = "B",
  ohms = 50 }]
`, map[string]int{
		"module": 1, "module.MCU": 1, "module.MCU.pins": 2, "module.MCU.pins.A2.below.volts": 2,
		"module.MCU.pins.A3": 3, "module.MCU.pins.A3.kind": 4, "module.MCU.pins.A3.above": 5, "module.MCU.pins.A3.above.code": 6,
		"module.MCU.load[0].from": 8, "module.MCU.load[1]": 8, "module.MCU.load[1].ohms": 9,
	})
}

func TestPositionsInArraysOfSeveralLines(t *testing.T) {
	linesOf(t, `path = [
  "A:1",  # the first

  # a comment of its own line, with [brackets] and "quotes"
  "B:2", "C:3",
  'D:4',
]
table = [
  [0, 5896],
  [
    10,
    3792,
  ], [20,
  2500],
]
jumper = [["A", "B"],
  ["C", "D"]]
flags = [true,
  false,
  1.5,
  2026-01-01]
text = ["""
two lines""",
  "after"]
`, map[string]int{
		"path": 1, "path[0]": 2, "path[1]": 5, "path[2]": 5, "path[3]": 6,
		"table": 8, "table[0]": 9, "table[0][1]": 9, "table[1][0]": 11, "table[1][1]": 12, "table[2][0]": 13, "table[2][1]": 14,
		"jumper[0]": 16, "jumper[1]": 17, "jumper[1][1]": 17,
		"flags[0]": 18, "flags[1]": 19, "flags[2]": 20, "flags[3]": 21, "text[0]": 22, "text[1]": 24,
	})
}

func TestPositionsOfDottedAndQuotedKeys(t *testing.T) {
	linesOf(t, `a.b.c = 1
a . b . d = 2
"a"."b"."e" = 3
[x . "y".'z']
k = 4
pins."A.1" = { kind = 1 }
pins.A = { 1 = 2 }
"" = 5
"with [brackets]" = [
  6]
"a\u0062c" = 7
`, map[string]int{
		"a": 1, "a.b": 1, "a.b.c": 1, "a.b.d": 2, "a.b.e": 3,
		"x.y.z": 4, "x.y.z.k": 5, `x.y.z.pins."A.1".kind`: 6, "x.y.z.pins.A": 7, "x.y.z.pins.A.1": 7, `x.y.z.""`: 8,
		`x.y.z."with [brackets]"[0]`: 10, "x.y.z.abc": 11,
	})
}

func TestPositionsWithCarriageReturnsAndCommentsBetween(t *testing.T) {
	text := `# a head of two
# lines
format = 1   # behind a value

[[run]]      # [[run]] in a comment
# between
path = [
  "A", # one
  "B",
]
note = """
x = 1
[[run]]
"""
[[run]]
path = []
`
	want := map[string]int{"format": 3, "run[0]": 5, "run[0].path": 7, "run[0].path[0]": 8, "run[0].path[1]": 9, "run[0].note": 11,
		"run[1]": 15, "run[1].path": 16}
	linesOf(t, text, want)
	linesOf(t, strings.ReplaceAll(text, "\n", "\r\n"), want)
}

func TestPositionOfWhatTheTextLacksIsThatOfWhatEnclosesIt(t *testing.T) {
	p := findPositions([]byte("a = 1\n[b.c]\nd = [1,\n2]\n"))
	for path, line := range map[string]int{"b.c.e": 2, "b.c.d[7]": 3, "b.c.d[1].x.y": 4, "z": 1, "": 1} {
		if got := p.At(path); got != line {
			t.Errorf("%q is on line %d, want %d", path, got, line)
		}
	}
}

func TestOrderIsThatOfTheText(t *testing.T) {
	p := findPositions([]byte("z = { c = 1, a = { y = 1, x = 2 }, b = 3 }\na = 1\n[m]\n[[r]]\n[n]\n"))
	before := ""
	for _, path := range []string{"z", "z.c", "z.a", "z.a.y", "z.a.x", "z.b", "a", "m", "r[0]", "n"} {
		if before != "" && p.order(before) >= p.order(path) {
			t.Errorf("%s comes before %s in the text, and ranks %d to %d", before, path, p.order(before), p.order(path))
		}
		before = path
	}
}

// The pins of a one-line table stand in the order in which the line names them, not in that of the alphabet.
func TestPinsOfOneLineKeepTheirOrder(t *testing.T) {
	c, problems := Circuit("x", []byte(`format = 1
module.M = { pins = { C = { kind = "ground" }, A = { kind = "power" }, B = { kind = "return" } } }
run = [{ path = ["M:A", "B+"] }, { path = ["M:B", "S"] }, { path = ["S", "B-"] }, { path = ["M:C", "B-"] }]
`))
	if c == nil {
		t.Fatal(problems)
	}
	got := ""
	for _, p := range c.Modules[0].Pins {
		got += p.Cavity
	}
	if got != "CAB" {
		t.Errorf("pins in the order %s, want CAB", got)
	}
	if c.Runs[2].Line != 3 {
		t.Errorf("run 3 is on line %d, want 3", c.Runs[2].Line)
	}
}
