package marking

import (
	"errors"
	"os"
	"strings"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/read"
	"ohmtrail/cmd/internal/exercise"
)

// hidden is an exercise on the demo's circuit with one fault.
func hidden(t *testing.T, fault string) *exercise.Exercise {
	t.Helper()
	text, err := os.ReadFile("../../../../testdata/demo/mast-height.circuit.toml")
	if err != nil {
		t.Fatal(err)
	}
	c, problems := read.Circuit("mast", text)
	if c == nil {
		t.Fatal(problems)
	}
	f, err := circuits.ParseFault(fault)
	if err == nil {
		f, err = c.ResolveFault(f)
	}
	if err != nil {
		t.Fatal(err)
	}
	return &exercise.Exercise{Name: "01", Circuit: c, CircuitText: string(text), Meter: circuits.DefaultMeter(), Codes: []string{"HEIGHT-LOW"},
		Stands: []circuits.SetDevice{{Device: "MHS", Set: 0.4}, {Device: "TLT", Set: 0.5}, {Device: "MOT", Set: 40}},
		Hidden: exercise.Hidden{Fault: f, Seed: 3, Duty: 1, Plan: exercise.Way{Minutes: 10, Done: true}, HalfSplit: exercise.Way{Minutes: 20, Done: true}}}
}

func played(t *testing.T, x *exercise.Exercise, lines ...string) *exercise.Play {
	t.Helper()
	p := exercise.NewPlay(x, "=Kim")
	for _, line := range lines {
		a, err := exercise.Parse(x, line)
		if err != nil {
			t.Fatal(line, err)
		}
		p.Do(a)
	}
	return p
}

func marked(t *testing.T, p *exercise.Play) Marks {
	t.Helper()
	m, err := NewJudge().Mark(p, DefaultPoints())
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func (m Marks) part(name string) Part {
	for _, p := range m.Parts {
		if p.Name == name {
			return p
		}
	}
	return Part{}
}

func TestNothingIsToldBeforeTheFinding(t *testing.T) {
	p := played(t, hidden(t, "open C7:2"), "scan MCU:A2 because the code")
	if m, err := NewJudge().Mark(p, DefaultPoints()); !errors.Is(err, ErrOpen) || len(m.Parts) > 0 || m.Truth != "" {
		t.Errorf("%+v, %v", m, err)
	}
}

// A bad joint in the feed hides from a voltmeter at the loose plug: the reading tells nothing about it, and why is said.
func TestFeedWithoutLoadToldLittle(t *testing.T) {
	p := played(t, hidden(t, "high-resistance C7:1 3000"), "volts MHS:1 unplug MHS because feed", "volts MHS:1 unplug MHS because feed again", "find device MHS: open inside")
	s := marked(t, p).Steps[1]
	if !s.Nothing || !strings.Contains(strings.Join(s.Says, " "), "without current a bad joint drops no volts") {
		t.Errorf("said %q of a feed without load, taken again", s.Says)
	}
	if s.Better == "" {
		t.Error("nothing better was named")
	}
}

func TestGoodPartsCostMostAndGuessesAreNamed(t *testing.T) {
	x := hidden(t, "open C7:2")
	part := marked(t, played(t, x, "scan MCU:A2 because code", "find device MHS: open inside; a new one because it is old"))
	joint := marked(t, played(t, x, "scan MCU:A2 because code", "find open MHS:2; crimp because it is old"))
	if g, j := part.part("good_part").Points, joint.part("good_joint").Points; g >= j || j >= 0 || part.part("good_joint").Points != 0 {
		t.Errorf("a good part costs %g, a good joint %g", g, j)
	}
	if part.part("guess").Points >= 0 || !strings.Contains(strings.Join(part.Steps[1].Says, " "), "What would have told: ") ||
		!strings.HasPrefix(part.Steps[1].Says[0], "A guess: your readings gave MHS ") {
		t.Errorf("the guess: %+v, %q", part.part("guess"), part.Steps[1].Says)
	}
	if part.part("place").Points != 0 || part.part("minutes").Points != 0 || part.part("proof").Points != 0 {
		t.Error("a wrong place brings points for place, minutes or proof")
	}
	unsafe := marked(t, played(t, x, "ohms MHS:1 to MHS:3", "find open C7:2"))
	if unsafe.part("unsafe").Points != -DefaultPoints().Loss.Unsafe || unsafe.part("reasons").Points != 0 || unsafe.part("remedy").Points != 0 {
		t.Errorf("unsafe, without reasons and remedy: %+v", unsafe.Parts)
	}
	if kind := marked(t, played(t, x, "find high-resistance C7:2")).part("kind"); kind.Points != 5 {
		t.Errorf("high resistance for open brings %g", kind.Points)
	}
}

func TestTrainerHasTheLastWord(t *testing.T) {
	m := marked(t, played(t, hidden(t, "open C7:2"), "find open C7:2; a new terminal because a guess"))
	before := m.Total
	overrides, err := ReadOverrides("word", []byte("[[override]]\nstudent = \"=Kim\"\nexercise = \"01\"\nset = { guess = 0 }\nnote = \"explained it\"\n"))
	if err != nil {
		t.Fatal(err)
	}
	m.Apply(overrides)
	if m.Total != before+15 || m.Note != "explained it" || !m.part("guess").Set {
		t.Errorf("%g, before it %g: %+v", m.Total, before, m.part("guess"))
	}
	other := []Override{{Student: "Robin", Exercise: "01", Set: map[string]float64{"place": 0}}}
	if m.Apply(other); m.part("place").Points != 30 {
		t.Error("another student's override was taken")
	}
	table, err := CSV([]Marks{m})
	if err != nil || !strings.Contains(string(table), "\n'=Kim,01,") {
		t.Errorf("a spreadsheet would reckon the name: %q, %v", table, err)
	}
	for _, bad := range []string{"[gain]\nplace = -1", "[gain]\nplace = nan", "[gain]\n", "[gain]\nplace = \"x\"", "[gain\n", strings.Repeat("[", 300)} {
		if _, err := ReadPoints("mine.toml", []byte(bad)); err == nil || !strings.HasPrefix(err.Error(), "mine.toml:") {
			t.Errorf("%.20q: %v", bad, err)
		}
	}
}
