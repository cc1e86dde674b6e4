package read

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ohmtrail/circuits"
)

const badFolder = "testdata/bad"

// seedTexts are the files of testdata and of its folder of bad files that end so.
func seedTexts(f *testing.F, ending string) []string {
	f.Helper()
	var out []string
	for _, pattern := range []string{"testdata/*" + ending, badFolder + "/*" + ending} {
		files, err := filepath.Glob(pattern)
		if err != nil {
			f.Fatal(err)
		}
		for _, file := range files {
			text, err := os.ReadFile(file)
			if err != nil {
				f.Fatal(err)
			}
			out = append(out, string(text))
		}
	}
	if len(out) < 20 {
		f.Fatalf("only %d seeds end in %s", len(out), ending)
	}
	return out
}

// checkProblems holds what is true of the problems of any text.
func checkProblems(t *testing.T, file, text string, problems circuits.Problems, usable bool) {
	t.Helper()
	if usable == (len(problems.Errors()) > 0) {
		t.Fatalf("usable is %v with the problems\n%v", usable, problems)
	}
	lines := strings.Count(text, "\n") + 1
	before := 0
	for _, p := range problems {
		if p.File != file {
			continue
		}
		if p.Line < 1 || p.Line > lines {
			t.Fatalf("line %d of %d: %v", p.Line, lines, p)
		}
		if p.Line < before {
			t.Fatalf("not in line order:\n%v", problems)
		}
		before = p.Line
		if p.What == "" {
			t.Fatalf("a problem without words: %+v", p)
		}
	}
}

// checkCircuit holds what is true of any circuit that was read without errors.
func checkCircuit(t *testing.T, c *circuits.Circuit) {
	t.Helper()
	for i := range c.Wires {
		w := &c.Wires[i]
		l, err := circuits.ParseLocation(w.Location.String())
		if err != nil || l != w.Location || c.Wire(l) != w {
			t.Fatalf("wire %s reads back as %v, %v", w.Location, l, err)
		}
		if _, err := c.ResolveFault(circuits.Fault{First: circuits.Single{Kind: circuits.Open, At: l}}); err != nil {
			t.Fatalf("wire %s cannot be open: %v", l, err)
		}
		if !(w.Ohms >= 0) || !(w.SizeMM2 > 0) || !(w.LengthM >= 0) {
			t.Fatalf("wire %s has %g Ω, %g mm², %g m", l, w.Ohms, w.SizeMM2, w.LengthM)
		}
		for _, end := range []circuits.Point{w.From, w.To} {
			if got, err := c.Resolve(end); err != nil || got != end {
				t.Fatalf("the end %s of %s resolves to %s, %v", end, l, got, err)
			}
		}
	}
	for _, k := range c.Contacts {
		if got := c.Contact(k.Location); got == nil || *got != k {
			t.Fatalf("contact %s does not find itself", k.Location)
		}
		if c.PlugOf(k.First) == "" {
			t.Fatalf("contact %s belongs to no connector", k.Location)
		}
	}
	for _, plug := range c.Plugs() {
		if len(c.PlugsNamed(plug)) == 0 {
			t.Fatalf("%s cannot be unplugged by its name", plug)
		}
	}
	for _, d := range c.Devices {
		if len(d.Terminals) != len(d.Kind.Roles()) || len(d.Terminals) == 0 {
			t.Fatalf("device %s has the terminals %v", d.Name, d.Terminals)
		}
		if d.Kind.HasStimulus() && impossible(&d, d.Nominal()) != "" {
			t.Fatalf("device %s is nominally %g", d.Name, d.Nominal())
		}
	}
	if c.Battery.Volts > circuits.MaxVolts || c.Battery.RunningVolts > circuits.MaxVolts {
		t.Fatalf("a battery of %g V, running %g V", c.Battery.Volts, c.Battery.RunningVolts)
	}
}

func FuzzParseCircuit(f *testing.F) {
	for _, text := range seedTexts(f, ".circuit.toml") {
		f.Add(text)
	}
	f.Add("")
	f.Add("\xef\xbb\xbfformat = 1\r\n")
	f.Add("run = 5")
	f.Add("format = 1\nrun = [[]]\n")
	f.Add("format = 1\n\"\" = 1\n[\"\".x]\n")
	f.Add("e.\"c[s\\") // found by fuzzing: the decoder gave line 0
	f.Fuzz(func(t *testing.T, text string) {
		c, problems := Circuit("x", []byte(text))
		checkProblems(t, "x", text, problems, c != nil)
		if _, again := Circuit("x", []byte(text)); again.Error() != problems.Error() {
			t.Fatalf("a second reading reports something else:\n%v\n\n%v", problems, again)
		}
		if c != nil {
			checkCircuit(t, c)
		}
	})
}

func FuzzParseJob(f *testing.F) {
	sound, err := os.ReadFile(badFolder + "/sound.circuit.toml")
	if err != nil {
		f.Fatal(err)
	}
	for _, text := range seedTexts(f, ".job.toml") {
		f.Add(text, string(sound))
	}
	squib, err := os.ReadFile(badFolder + "/sound-pyrotechnic.circuit.toml")
	if err != nil {
		f.Fatal(err)
	}
	f.Add("format = 1\ncircuit = \"x\"\n[[reading]]\nat = \"SQ:1\"\nohms = 2\n", string(squib))
	f.Add("format = 1\ncircuit = \"x\"\n", "")
	f.Fuzz(func(t *testing.T, job, circuit string) {
		open := func(name string) (string, []byte, error) {
			if name == "" {
				return "", nil, errors.New("no name")
			}
			return "circuit", []byte(circuit), nil
		}
		j, problems := Job("job", []byte(job), open)
		checkProblems(t, "job", job, problems, j != nil)
		checkProblems(t, "circuit", circuit, problems, j != nil)
		if _, again := Job("job", []byte(job), open); again.Error() != problems.Error() {
			t.Fatalf("a second reading reports something else:\n%v\n\n%v", problems, again)
		}
		if j == nil {
			return
		}
		for i := range j.Readings {
			checkReading(t, j, j.Readings[i])
		}
	})
}

// checkReading holds what is true of any reading that was accepted.
func checkReading(t *testing.T, j *circuits.Job, r circuits.Reading) {
	t.Helper()
	c := j.Circuit
	switch {
	case r.Quantity == circuits.Amps:
		if _, err := c.FaultPlace(r.At); err != nil {
			t.Fatalf("amps at %s: %v", r.At, err)
		}
	case r.At.IsWire():
		t.Fatalf("a lead on the wire %s", r.At)
	default:
		if got, err := c.Resolve(r.Point()); err != nil || got != r.Point() {
			t.Fatalf("a lead on %s: %s, %v", r.Point(), got, err)
		}
	}
	if r.Taken && r.Value > r.High {
		t.Fatalf("a reading from %g to %g", r.Value, r.High)
	}
	if c.Pyrotechnic && (r.Quantity == circuits.Ohms || len(r.State.Loads)+len(r.State.Jumpers) > 0) {
		t.Fatalf("accepted on a pyrotechnic circuit: %+v", r)
	}
	if minutes := c.Minutes(r, nil); !(minutes >= 0.5) {
		t.Fatalf("a reading of %g minutes", minutes)
	}
}

func FuzzParsePoint(f *testing.F) {
	for _, s := range []string{"MCU:A3", "C7:3/mast", "S2", "B+", "B-", "B+:1", "MHS:3/device", "", ":", "/", "a:/b", "MCU.A", "Ü:1", "a>b", "\xff", "-", "a:b:c", "a:b/c/d", "#1", "a\x00b"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		p, err := circuits.ParsePoint(s)
		if err != nil {
			if p != (circuits.Point{}) {
				t.Fatalf("%q gives %+v beside the error %v", s, p, err)
			}
			return
		}
		if p.IsZero() {
			t.Fatalf("%q is no point, and no error", s)
		}
		if back, err := circuits.ParsePoint(p.String()); err != nil || back != p {
			t.Fatalf("%q is %q, which reads back as %+v, %v", s, p, back, err)
		}
		if p.String() != s {
			t.Fatalf("%q prints as %q", s, p)
		}
	})
}

func FuzzParseLocation(f *testing.F) {
	for _, s := range []string{"MCU:A3>C7:3", "C7:3", "G1", "MCU:A1/device", "B+>F1:1", "A>", ">A", ">", "", "A>B>C", "C7:3/a>S2", "a:1>b:2/c", "\xff>\xff"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		l, err := circuits.ParseLocation(s)
		if err != nil {
			return
		}
		if l.IsZero() || l.IsWire() != strings.Contains(s, ">") {
			t.Fatalf("%q gives %+v", s, l)
		}
		if l.IsWire() && (l.From.Side != "" || l.To.Side != "") {
			t.Fatalf("%q is a wire between sides: %+v", s, l)
		}
		if back, err := circuits.ParseLocation(l.String()); err != nil || back != l {
			t.Fatalf("%q is %q, which reads back as %+v, %v", s, l, back, err)
		}
	})
}

func FuzzParseFault(f *testing.F) {
	for _, s := range []string{
		"healthy", "unlisted", "open C7:3", "open MCU:A3>C7:3", "high-resistance C7:3 4k7", "high-resistance G1 1e-300", "short-to-ground MHS:2 0",
		"short-to-voltage MCU:A2>C7:2 47.5", "short-between A:1>B:1 A:2>B:2 1e5", "short-between A:1 A:2", "swapped C7:1 C7:3",
		"device MHS: open inside", "device MHS:shorted  inside", "device MHS: reads wrong", "module MCU:A1 open inside", "module MCU:A1 reference dead",
		"module MCU:A2 pull-up lost", "module MCU:B1 stuck on", "module MCU:B1 stuck off", "open A:1 + open A:2", "device A: open inside + open A:1",
		"healthy + open A:1", "open", "open  C7:3", "open C7:3 5", "short-between A:1", "device : open inside", "device", "module", "module A open inside",
		"high-resistance C7:3 -0", "high-resistance C7:3 1e400", "high-resistance C7:3 999999999G", "high-resistance C7:3 0x1p4", "", " + ", "open A:1 + ", "Ω",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		x, err := circuits.ParseFault(s)
		if err != nil {
			if err.Error() == "" {
				t.Fatalf("%q is refused without a word", s)
			}
			return
		}
		if back, err := circuits.ParseFault(x.String()); err != nil || back != x {
			t.Fatalf("%q is %q, which reads back as %+v, %v", s, x, back, err)
		}
		bare := x.WithoutOhms()
		if back, err := circuits.ParseFault(bare.String()); err != nil || back != bare {
			t.Fatalf("%q without ohms is %q, which reads back as %+v, %v", s, bare, back, err)
		}
		for _, one := range []circuits.Single{x.First, x.Second} {
			if one.HasOhms && !one.Kind.TakesOhms() || one.Ohms < 0 {
				t.Fatalf("%q has %g Ω", s, one.Ohms)
			}
		}
	})
}
