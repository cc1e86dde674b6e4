package exercise

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/read"
	"ohmtrail/solver/network"
	"ohmtrail/solver/plan"
	"ohmtrail/solver/rank"
)

// done carries out one line.
func done(t testing.TB, p *Play, line string) Reply {
	t.Helper()
	a, err := Parse(p.Exercise, line)
	if err != nil {
		t.Fatalf("%s: %v", line, err)
	}
	return p.Do(a)
}

// What a play answers is what the solver says of the machine's own circuit, within the meter's error; a scan value is
// that very step. The solver itself is held against ngspice on the same machines in solver/network.
func TestAnswersAreTheSolvers(t *testing.T) {
	asked, values := 0, 0
	for _, x := range some(t) {
		if x.Intermittent {
			continue
		}
		p := NewPlay(x, "")
		v := p.machine.Vehicle()
		r := rank.Rank(x.Job())
		for i, s := range plan.All(&r) {
			if i%2 != 0 {
				continue
			}
			reply := p.Do(Action{Kind: Measure, Reading: s.Reading})
			want := network.Read(v.Own(), x.Meter, s.Reading, v.At(s.Reading), x.Hidden.Fault)
			asked++
			switch {
			case reply.Refused != "":
				if s.Reading.Quantity != circuits.Ohms || want.Status != network.NoValue {
					t.Errorf("%s refused at %s: %+v", reply.Refused, s.Reading.At, want.Why)
				}
			case !reply.Taken:
				if want.Status != network.NoValue || want.Why.Kind == network.Floating {
					t.Errorf("%s at %s; the solver says %+v", reply.Words, s.Reading.At, want)
				}
			case want.Status == network.OverRange:
				if !reply.Reading.OL {
					t.Errorf("%s at %s, not OL", reply.Words, s.Reading.At)
				}
			default:
				values++
				bound := x.Meter.Accuracy(s.Reading.Quantity).Bound(want.Value) + 0.0006 // and the display's last digit
				if s.Reading.Quantity == circuits.Ohms {
					bound += want.Value * 0.0006
				}
				if s.Reading.Quantity == circuits.ScanVolts {
					bound = 1e-9
				}
				if math.Abs(reply.Reading.Value-want.Value) > bound {
					t.Errorf("%s: %g at %s, the solver says %g ± %g", x.Hidden.Fault, reply.Reading.Value, s.Reading.At, want.Value, bound)
				}
			}
		}
		if len(p.Steps) >= mostSteps {
			t.Error("the play is full: what follows was refused")
		}
	}
	t.Logf("%d readings, %d values", asked, values)
	if values < 100 {
		t.Errorf("only %d values", values)
	}
}

// Tolerances are drawn once: another reading of the same point differs by the meter's error alone, and the same play is
// the same again.
func TestMachineStaysTheSame(t *testing.T) {
	x := mast(t)
	p, q := NewPlay(x, ""), NewPlay(x, "")
	var all []float64
	for range 12 {
		a, b := done(t, p, "volts MHS:1 unplug MHS"), done(t, q, "volts MHS:1 unplug MHS")
		if !reflect.DeepEqual(a, b) {
			t.Fatalf("%v, then %v", a, b)
		}
		all = append(all, a.Reading.Value)
	}
	low, high := all[0], all[0]
	for _, v := range all {
		low, high = min(low, v), max(high, v)
	}
	if bound := x.Meter.Volts.Bound(high); high-low > 2*bound+0.002 {
		t.Errorf("twelve readings of one point lie from %g to %g: more than the meter's error", low, high)
	}
	if low == high || high < 4.5 {
		t.Errorf("twelve readings of the feed lie from %g to %g", low, high)
	}
	if p.Steps[0].Reply.Minutes != 1+1+x.Circuit.AccessMin("MHS") || p.Steps[1].Reply.Minutes != 2 {
		t.Errorf("minutes %g, then %g", p.Steps[0].Reply.Minutes, p.Steps[1].Reply.Minutes)
	}
}

// mast is an exercise on the demo's circuit.
func mast(t testing.TB) *Exercise {
	t.Helper()
	text := circuitText(t, "mast-height")
	c, problems := read.Circuit("mast", text)
	if c == nil {
		t.Fatal(problems)
	}
	f, err := circuits.ParseFault("open C7:2")
	if err == nil {
		f, err = c.ResolveFault(f)
	}
	if err != nil {
		t.Fatal(err)
	}
	return &Exercise{Name: "01", Circuit: c, CircuitText: string(text), Meter: circuits.DefaultMeter(), Questions: []string{"Well?"},
		Stands: []circuits.SetDevice{{Device: "MHS", Set: 0.4}, {Device: "TLT", Set: 0.5}, {Device: "MOT", Set: 40}},
		Hidden: Hidden{Fault: f, Seed: 3, Duty: 1, Answers: []string{"No."}, Useful: []bool{false}}}
}

func TestWorkshopRefuses(t *testing.T) {
	x := mast(t)
	for line, want := range map[string]struct {
		words  string
		unsafe bool
	}{
		"ohms MHS:1 to MHS:3":                                     {"key off", true},
		"ohms F12:1 to G1 key off":                                {"live circuit", true},
		"volts MHS:1 lamp MHS:1 MHS:3 unplug MHS":                 {"no test lamp on a module's pin", true},
		"volts MHS:1 load MHS:1 B- 10 unplug MHS":                 {"480 mA asked of MCU:A1, which gives 80 mA", true},
		"volts MHS:2 load MHS:2 B- 100 unplug MHS":                {"", false}, // 5 V behind 47 kΩ: a tenth of a milliampere
		"volts MHS:2 load B+ MHS:2 100 unplug MHS":                {"25 V at the module's pin MCU:A2, which is made for 6 V at the most", true},
		"volts MHS:1 jumper B+ MHS:2 unplug MHS":                  {"25 V at the module's pin MCU:A2, which is made for 6 V at the most", true},
		"volts MHS:1 jumper MHS:1 MHS:3 unplug MHS":               {"asked of MCU:A1, which gives 80 mA", true},
		"volts MHS:1 jumper F12:1 G1":                             {"a lead from F12:1 to G1 would carry 630 A: a test lead bears 10 A", true},
		"volts MHS:1 jumper F12:2 G1":                             {"through the 5 A fuse F12", true},
		"scan MCU:A4 set MOT=90":                                  {"cannot be set by hand", false},
		"volts MHS:1 load MHS:1 MHS:3 220 unplug MHS":             {"", false},
		"volts F12:2 lamp F12:2 B- ":                              {"", false},
		"volts MHS:1 lamp MHS:1 MHS:3 unplug MHS MCU.A":           {"", false},
		"ohms MHS:1/device to MHS:3/device key off unplug MHS":    {"", false},
		"ohms MCU:A1 to MHS:1 key off unplug MCU MHS":             {"", false},
		"scan MCU:A2 set MHS=0.9":                                 {"", false},
		"scan MCU:A2 jumper MHS:1 MHS:2 unplug MHS":               {"", false},
		"amps F12:1 key run":                                      {"", false},
		"volts C7:3/mast to MCU:A3 wiggle C7 watch because drops": {"", false},
	} {
		p := NewPlay(x, "")
		reply := done(t, p, line)
		if want.words == "" && reply.Refused != "" || !strings.Contains(reply.Refused, want.words) || reply.Unsafe != want.unsafe {
			t.Errorf("%s: refused %q (unsafe %v), want %q", line, reply.Refused, reply.Unsafe, want.words)
		}
		if reply.Refused != "" && (reply.Minutes != 0 || p.Minutes() != 0) {
			t.Errorf("%s: refused, and it cost %g minutes", line, reply.Minutes)
		}
	}
}

func TestNonsenseIsNotUnderstoodAndCostsNothing(t *testing.T) {
	x := mast(t)
	for line, want := range map[string]string{
		"":                                    "nothing was typed",
		"vots MHS:2":                          "did you mean volts?",
		"volts":                               "volts wants one point",
		"volts MSH:2":                         "did you mean MHS?",
		"volts MHS:9":                         "no cavity 9",
		"volts MHS:2 unplg MHS":               "did you mean unplug?",
		"volts MHS:2 set MHS=0.5 set MHS=0.6": "MHS is set twice",
		"volts MHS:1/device":                  "add unplug MHS, or measure at MHS:1, the harness side",
		"volts MHS:2 set NIX=1 AX=2":          "no device is called NIX",
		"volts MHS:2 unplug":                  "at least one name",
		"volts MHS:2 unplug S1":               "cannot be unplugged",
		"volts MHS:2 key half":                `the key cannot be "half"`,
		"volts MHS:2 load MHS:2 B-":           "two points and ohms",
		"volts MHS:2 load MHS:2 B- x":         "is no resistance",
		"volts MHS:2 set MHS":                 "is no setting",
		"volts MHS:2 set MHS=NaN":             "is no setting",
		"volts MHS:2/device":                  "only with MHS unplugged; add unplug MHS, or measure",
		"scan MHS:2":                          "no input of a module",
		"look":                                "look wants one place",
		"look moon":                           "no place here is called moon",
		"ask 99":                              "none of the",
		"repair C7":                           "more than one joint",
		"repair B+":                           "battery post",
		"find rust MHS:2":                     "no fault begins with",
		"find open MHS:7":                     "no cavity 7",
		"find device MHS: tired":              "cannot be",
		"volts MHS:2 jumper B+ B-":            "dead short",
		strings.Repeat("volts ", 1000):        "too long",
	} {
		if a, err := Parse(x, line); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%.40q: %v (%+v), want %q", line, err, a, want)
		}
	}
}

func TestFindingEndsAndRepairCures(t *testing.T) {
	for _, x := range some(t) {
		p := NewPlay(x, "")
		truth := x.Hidden.Fault
		if truth.IsDouble() {
			continue
		}
		wrong := "repair ECT:1"
		if truth.First.At.String() == "ECT:1" || truth.First.To.String() == "ECT:1" {
			wrong = "repair ECT:2"
		}
		if truth.First.At.String() != "ECT:2" && truth.First.To.String() != "ECT:2" && done(t, p, wrong).Cured {
			t.Errorf("%s: %s cured it", truth, wrong)
		}
		if reply := done(t, p, "repair "+repairAt(truth.First).String()); !reply.Cured || !strings.Contains(reply.Words, "no code comes back") {
			t.Errorf("%s is not cured: %q", truth, reply.Words)
		}
		if reply := done(t, p, "scan ECU:A12"); !reply.Taken && reply.Refused == "" {
			t.Errorf("%s: after the repair the module says %q", truth, reply.Words)
		}
		done(t, p, "find "+truth.WithoutOhms().String()+"; new terminal")
		if f, ok := p.Finding(); !ok || f.Remedy != "new terminal" || f.Fault != truth.WithoutOhms() {
			t.Errorf("found %+v, %v", f, ok)
		}
		if reply := done(t, p, "scan ECU:A12"); reply.Refused == "" {
			t.Error("a reading after the finding was taken")
		}
	}
}

func TestResume(t *testing.T) {
	x := some(t)[0]
	text, err := x.Text()
	if err != nil {
		t.Fatal(err)
	}
	p := NewPlay(x, "Kim \x1b[2J")
	for _, line := range []string{"scan ECU:A12 because the code", "volts ECT:1 unplug ECT", "ohms ECT:1 to ECT:2", "look ECT", "ask 2"} {
		done(t, p, line)
	}
	body, err := p.Text(text)
	if err != nil {
		t.Fatal(err)
	}
	q, exerciseText, err := Resume("x", body)
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(q.Steps, p.Steps) || q.Minutes() != p.Minutes() || q.Altered != nil || string(exerciseText) != string(text) || q.Student != "Kim [2J" {
		t.Errorf("resumed as %+v", q)
	}
	reply := p.Steps[0].Reply.Words
	changed := strings.Replace(string(body), `"reply": "`+reply, `"reply": "9.99 V`, 1)
	if q, _, err = Resume("x", []byte(changed)); err != nil || !reflect.DeepEqual(q.Altered, []int{0}) {
		t.Errorf("a changed reply: altered %v, %v", q.Altered, err)
	}
	for _, bad := range []string{"", "{}", "[]", strings.Replace(string(body), "volts ECT:1", "volts ECT:9", 1), strings.Replace(string(body), `"format": 1`, `"format": 3`, 1)} {
		if _, _, err := Resume("x", []byte(bad)); err == nil {
			t.Errorf("%.20q was resumed", bad)
		}
	}
}
