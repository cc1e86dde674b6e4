package exercise

import (
	"reflect"
	"strings"
	"testing"
)

// FuzzLine types anything at a machine: no panic, no minutes that run backwards, and whatever is understood is
// understood the same way again when the play is taken up.
func FuzzLine(f *testing.F) {
	for _, line := range []string{
		"volts MHS:2 to MCU:A3 key run unplug MHS C7 because it parts the run", "ohms MHS:1/device to MHS:3/device key off unplug MHS", "amps F12:1 watch",
		"scan MCU:A2 set MHS=0,9 wiggle C7", "volts MHS:1 load MHS:1 B- 4k7 unplug MHS", "volts MHS:1 jumper MHS:1 MHS:2 lamp B+ G1", "look C7", "ask 1", "repair C7:2",
		"find open C7:2 + high-resistance G1; clean it", "volts \"B+\" to 'B-'", "volts B+ to B- key off unplug MCU", "amps MCU:A1>S1", "volts S1 to\x00 S2", "find healthy",
	} {
		f.Add(line)
	}
	x := mast(f)
	intermittent := mast(f)
	intermittent.Intermittent, intermittent.Hidden.Duty = true, 0.5
	text, err := x.Text()
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, lines string) {
		for _, x := range []*Exercise{x, intermittent} {
			p := NewPlay(x, "")
			for i, line := range strings.Split(lines, "\n") {
				a, err := Parse(x, line)
				if err != nil || i > 20 {
					continue
				}
				if again, err := Parse(x, a.Line); err != nil || again.Line != a.Line {
					t.Fatalf("%q is kept as %q, which is %q (%v)", line, a.Line, again.Line, err)
				}
				if r := p.Do(a); r.Minutes < 0 || r.Minutes != r.Minutes {
					t.Fatalf("%q took %g minutes", line, r.Minutes)
				}
			}
			if x.Intermittent {
				continue
			}
			body, err := p.Text(text)
			if err != nil {
				t.Fatal(err)
			}
			q, _, err := Resume("x", body)
			if err != nil || q.Altered != nil || !reflect.DeepEqual(q.Minutes(), p.Minutes()) {
				t.Fatalf("%q resumes with %v, altered %v", lines, err, q)
			}
		}
	})
}

// FuzzRead reads anything as an exercise or a play: an error or a machine that answers, never a panic.
func FuzzRead(f *testing.F) {
	x := mast(f)
	text, err := x.Text()
	if err != nil {
		f.Fatal(err)
	}
	f.Add(text)
	play, err := NewPlay(x, "").Text(text)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(play)
	f.Add([]byte(strings.Replace(x.openText(), "'''", "''", 1)))
	f.Fuzz(func(t *testing.T, body []byte) {
		if x, err := Read("x", body); err == nil {
			NewPlay(x, "").Do(Action{Kind: Look, At: x.Hidden.Fault.First.At})
		}
		if p, _, err := Resume("x", body); err == nil {
			p.Minutes()
		}
	})
}

// FuzzHidden puts anything into the sealed part, as somebody may who has read this source.
func FuzzHidden(f *testing.F) {
	f.Add("open C7:2", 0.0, 1.0, "No.", "C7:1", "wet", 3)
	f.Add("device MHS: reads wrong", 0.3, 0.5, "No.", "MHS", "burnt", 1)
	f.Add("high-resistance C7:1 1e400 + short-between C7:1 C7:2 3", 0.3, 0.5, "No.", "C7:1>MHS:1", "chafed", 1)
	f.Fuzz(func(t *testing.T, fault string, shows, duty float64, answer, at, seen string, level int) {
		x := mast(t)
		j := x.JSON()
		j.Fault, j.Shows, j.Duty, j.Answers, j.Level = fault, [2]float64{shows, shows}, duty, []string{answer}, level
		j.Seen = []SeenJSON{{at, seen}}
		h, err := j.hidden(x)
		if err != nil {
			return
		}
		x.Hidden = h
		p := NewPlay(x, "")
		for _, line := range []string{"scan MCU:A2", "volts MHS:1 unplug MHS watch", "look C7", "ask 1", "repair C7:2", "amps F12:1"} {
			done(t, p, line)
		}
	})
}
