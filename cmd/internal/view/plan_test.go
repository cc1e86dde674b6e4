package view

import (
	"encoding/json"
	"math"
	"slices"
	"strings"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/read"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/plan"
	"ohmtrail/solver/rank"
)

// planCircuit has a sensor on a reference behind an in-line connector, and a lamp on the battery.
const planCircuit = `format = 1
[module.M]
label = "mast unit"
pins.A1 = { kind = "reference", limit_ma = 60 }
pins.A2 = { kind = "input", label = "height" }
pins.A3 = { kind = "return" }
[device.H]
label = "height sensor"
kind = "potentiometer"
ohms = 5000
terminals = { supply = "1", wiper = "2", return = "3" }
[device.L]
kind = "load"
ohms = 10
terminals = { a = "1", b = "2" }
[connector.C7]
sides = ["chassis", "mast"]
[splice.S]
label = "splice in the loom"
[ground.G]
[[run]]
path = ["M:A1", "C7:1", "H:1"]
color = ["OG", "OG/WH"]
[[run]]
path = ["M:A2", "H:2"]
color = "GN"
[[run]]
path = ["M:A3", "S", "H:3"]
[[run]]
path = ["B+", "L:1"]
color = "RD"
[[run]]
path = ["L:2", "G"]
`

func planJob(t *testing.T, readings string) *circuits.Job {
	t.Helper()
	open := func(string) (string, []byte, error) { return "c", []byte(planCircuit), nil }
	j, problems := read.Job("j", []byte("format = 1\ncircuit = \"c\"\n"+readings), open)
	if j == nil {
		t.Fatal(problems)
	}
	return j
}

// TestInstruction says readings of every kind as a technician is told them: nothing is parted or joined with the key on.
func TestInstruction(t *testing.T) {
	for _, c := range []struct{ reading, want string }{
		{`at = "H:1"`, "Key on. Red lead on H:1 (back-probed, OG/WH wire), black on B-: volts."},
		{"at = \"C7:1/mast\"\nto = \"S\"\nkey = \"run\"", "Engine running. Red lead on C7:1/mast (back-probed, OG/WH wire), black on S (splice in the loom): volts."},
		{"at = \"H:1\"\nto = \"G\"\nunplugged = [\"H\"]", "Key off. Unplug H (height sensor). Key on. Red lead on H:1 (harness side, OG/WH wire), black on ground stud G: volts."},
		{"at = \"C7:1\"\nunplugged = [\"C7\", \"M.A\"]", "Key off. Unplug in-line connector C7 and connector M.A. Key on. Red lead on C7:1/chassis (OG wire), black on B-: volts."},
		{"at = \"M:A2\"\nquantity = \"scan_volts\"\nunplugged = [\"H\"]\njumper = [[\"H:1\", \"H:2\"]]",
			"Key off. Unplug H (height sensor). Join H:1 (harness side, OG/WH wire) to H:2 (harness side, GN wire) with a fused lead. Key on. Volts of M:A2 (height) as the scan tool shows them."},
		{"at = \"H:1\"\nunplugged = [\"H\"]\nload = [{ from = \"H:1\", to = \"B-\", ohms = 330 }]",
			"Key off. Unplug H (height sensor). Put 330 Ω from H:1 (harness side, OG/WH wire) to B-. Key on. Red lead on H:1 (harness side, OG/WH wire), black on B-: volts."},
		{"at = \"H:1/device\"\nto = \"H:3/device\"\nquantity = \"ohms\"\nkey = \"off\"\nunplugged = [\"H\"]",
			"Key off. Unplug H (height sensor). Red lead on H:1/device (the part's own pin), black on H:3/device (the part's own pin): ohms."},
		{"at = \"M:A2\"\nquantity = \"scan_volts\"\nset = { H = 0.9 }", "See that H (height sensor) is at 0.9. Key on. Volts of M:A2 (height) as the scan tool shows them."},
		{"at = \"M:A2\"\nquantity = \"scan_volts\"\nwiggle = \"C7\"", "Key on. Move C7 by hand, and note the lowest and the highest value. Volts of M:A2 (height) as the scan tool shows them."},
		{"at = \"L:1\"\nquantity = \"amps\"", "Key on. Amps in the place of contact L:1, red lead on the harness side."},
		{"at = \"C7:1>H:1\"\nquantity = \"amps\"", "Key on. Amps in the place of the wire C7:1>H:1, red lead on the side of C7:1/mast."},
	} {
		j := planJob(t, "[[reading]]\n"+c.reading+"\n")
		if got := spaced(Instruction(j.Circuit, circuits.Reading{}, j.Readings[0])); got != c.want {
			t.Errorf("%s\nsays %q\nwant %q", c.reading, got, c.want)
		}
	}
}

// TestInstructionAfter: a reading's steps begin with what the one before left apart or joined, and say what stays so.
func TestInstructionAfter(t *testing.T) {
	const sensor = "unplugged = [\"H\"]\n"
	for _, c := range []struct{ before, reading, undo, want string }{
		{"at = \"H:1\"\nvolts = 5\n" + sensor, `at = "H:1"`, "Plug H (height sensor) in again.",
			"Key off. Plug H (height sensor) in again. Key on. Red lead on H:1 (back-probed, OG/WH wire), black on B-: volts."},
		{"at = \"H:1\"\nvolts = 5\n" + sensor, "at = \"H:3\"\n" + sensor, "",
			"Leave H (height sensor) unplugged. Key on. Red lead on H:3 (harness side), black on B-: volts."},
		{"at = \"M:A2\"\nscan_volts = 5\njumper = [[\"H:1\", \"H:2\"]]\n" + sensor, "at = \"M:A2\"\nquantity = \"scan_volts\"\njumper = [[\"H:3\", \"H:2\"]]\n" + sensor,
			"Take the lead between H:1 and H:2 off.",
			"Key off. Take the lead between H:1 and H:2 off. Leave H (height sensor) unplugged. Join H:3 (harness side) to H:2 (harness side, GN wire) with a fused lead. Key on. Volts of M:A2 (height) as the scan tool shows them."},
		{"at = \"M:A2\"\nscan_volts = 5\njumper = [[\"H:1\", \"H:2\"]]\n" + sensor, "at = \"H:1\"\njumper = [[\"H:2\", \"H:1\"]]\n" + sensor, "",
			"Leave H (height sensor) unplugged. Leave the lead between H:1 and H:2 on. Key on. Red lead on H:1 (harness side, OG/WH wire), black on B-: volts."},
		{"at = \"L:1\"\namps = 1.2\nkey = \"run\"\n", `at = "L:1"`, "Engine off. Take the meter out of contact L:1, and close the circuit there again.",
			"Engine off. Key off. Take the meter out of contact L:1, and close the circuit there again. Key on. Red lead on L:1 (back-probed, RD wire), black on B-: volts."},
		{"at = \"H:1\"\nvolts = 5\nload = [{ from = \"H:1\", to = \"B-\", ohms = 330 }]\n" + sensor, "at = \"H:1/device\"\nto = \"H:3/device\"\nquantity = \"ohms\"\nkey = \"off\"\n" + sensor,
			"Take the 330 Ω between H:1 and B- off.",
			"Key off. Take the 330 Ω between H:1 and B- off. Leave H (height sensor) unplugged. Red lead on H:1/device (the part's own pin), black on H:3/device (the part's own pin): ohms."},
		{"at = \"M:A2\"\nscan_volts = 4.5\nset = { H = 0.9 }", "at = \"M:A2\"\nquantity = \"scan_volts\"", "Let H (height sensor) be as it was.",
			"Let H (height sensor) be as it was. Key on. Volts of M:A2 (height) as the scan tool shows them."},
		{"at = \"H:1\"\nvolts = 5\n" + sensor + "[[tried]]\nat = \"H\"\nresult = \"remains\"", `at = "H:1"`, "", "Key on. Red lead on H:1 (back-probed, OG/WH wire), black on B-: volts."},
		{"at = \"H:1\"\nvolts = 5\nsound = true\n" + sensor, `at = "H:1"`, "", "Key on. Red lead on H:1 (back-probed, OG/WH wire), black on B-: volts."},
	} {
		j := planJob(t, "[[reading]]\n"+c.before+"\n[[reading]]\n"+c.reading+"\n")
		next := j.Readings[len(j.Readings)-1]
		if got := spaced(Instruction(j.Circuit, j.Left(), next)); got != c.want {
			t.Errorf("after %s\n%s\nsays %q\nwant %q", c.before, c.reading, got, c.want)
		}
		undo := ""
		if u := undoJSON(j.Circuit, j.Left(), next); u != nil {
			undo = u.Says
		}
		if undo != c.undo {
			t.Errorf("after %s\n%s\ntakes back %q, want %q", c.before, c.reading, undo, c.undo)
		}
	}
}

// TestReadingCautions: each reading gets the words of care that it needs, and no others.
func TestReadingCautions(t *testing.T) {
	lamp, ohms, hot, fuse, amps := "No test lamp", "Ohms only on a dead", "hot and moving", "with a fuse", "amps sockets"
	for _, c := range []struct {
		reading string
		says    []string
	}{
		{"at = \"M:A2\"\nquantity = \"scan_volts\"", nil},
		{`at = "L:1"`, nil}, // a lamp's own feed: no module's pin on it
		{`at = "C7:1/mast"`, []string{lamp}},
		{"at = \"L:1\"\nto = \"H:1\"", []string{lamp}},
		{"at = \"L:1\"\nkey = \"run\"", []string{hot}},
		{"at = \"L:1\"\nquantity = \"amps\"", []string{amps}},
		{"at = \"L:1/device\"\nto = \"L:2/device\"\nquantity = \"ohms\"\nkey = \"off\"\nunplugged = [\"L\"]", []string{ohms}},
		{"at = \"M:A2\"\nquantity = \"scan_volts\"\njumper = [[\"H:1\", \"H:2\"]]", []string{lamp, fuse}},
	} {
		j := planJob(t, "[[reading]]\n"+c.reading+"\n")
		said := strings.Join(ReadingCautions(j.Circuit, j.Readings[0]), "\n")
		for _, words := range []string{lamp, ohms, hot, fuse, amps} {
			if strings.Contains(said, words) != slices.Contains(c.says, words) {
				t.Errorf("%s\n%q is said or left out wrongly in\n%s", c.reading, words, said)
			}
		}
	}
	j := planJob(t, "[[reading]]\nat = \"H:1\"\n")
	if said := strings.Join(ReadingCautions(j.Circuit, j.Readings[0]), ""); !strings.Contains(said, "60 mA") {
		t.Errorf("the limit of the touched reference is not in %q", said)
	}
	if len(j.Circuit.Modules[0].Pins) != 3 {
		t.Error("the circuit lost its pins")
	}
}

// TestPlannedReadingJSON: the reading in the words of a job file, and no value.
func TestPlannedReadingJSON(t *testing.T) {
	j := planJob(t, `[[reading]]
at = "H:1"
to = "S"
volts = 4.98
unplugged = ["H"]
jumper = [["H:2", "H:3"]]
load = [{ from = "H:1", to = "B-", ohms = "3k3" }]
set = { H = 0.5 }
[[reading]]
at = "L:1"
amps = 1
key = "run"
`)
	for i, want := range []string{
		`{"at":"H:1","to":"S","quantity":"volts","key":"on","unplugged":["H"],"jumper":[["H:2","H:3"]],"load":[{"from":"H:1","to":"B-","ohms":3300}],"set":{"H":0.5}}`,
		`{"at":"L:1","quantity":"amps","key":"run"}`,
	} {
		got, err := json.Marshal(plannedReadingJSON(j.Readings[i]))
		if err != nil || string(got) != want {
			t.Errorf("%s, want %s (%v)", got, want, err)
		}
	}
}

// TestOutcomes: ohms are planned by their logarithm and said in ohms; a module reports nothing beyond its range.
func TestOutcomes(t *testing.T) {
	j := planJob(t, "[[reading]]\nat = \"H:1/device\"\nto = \"H:3/device\"\nquantity = \"ohms\"\nunplugged = [\"H\"]\nkey = \"off\"\n[[reading]]\nat = \"M:A2\"\nquantity = \"scan_volts\"\n[[reading]]\nat = \"H:1\"\n[[reading]]\nat = \"L:1\"\nquantity = \"amps\"\n")
	v := Planned{Ranking: rank.Ranking{Job: j}, Plan: plan.Plan{Remaining: []rank.PlaceOdds{
		placeOf(t, "device H: open inside", 0.6), placeOf(t, "open H:1", 0.3), placeOf(t, "device S: open inside", 0.01)}}}
	nan := math.NaN()
	named := func(names ...string) (out []circuits.Fault) {
		for _, n := range names {
			out = append(out, placeOf(t, n, 0).Leading)
		}
		return out
	}
	at := func(names ...string) (out []hypothesis.Place) {
		for _, n := range names {
			out = append(out, placeOf(t, "open "+n, 0).Place)
		}
		return out
	}
	for _, c := range []struct {
		reading int
		o       plan.OutcomeBand
		says    string
		low     string
		high    string
	}{
		{0, plan.OutcomeBand{Low: math.Log(4700), High: math.Log(5300), Faults: named("open H:1"), Places: at("H:1")}, "about 4.99 kΩ: open H:1; hardly H", "4700", "5300"},
		{0, plan.OutcomeBand{Low: math.Log(100), High: math.Log(200), Faults: named("open H:1"), Places: at("H:1", "H")}, "100 Ω to 200 Ω: open H:1", "100", "200"},
		{0, plan.OutcomeBand{Low: nan, High: nan, Discrete: evidence.RayOL, Faults: named("device H: open inside"), Places: at("H")}, "OL: device H: open inside; hardly H:1", `"OL"`, `"OL"`},
		{1, plan.OutcomeBand{Low: -0.4, High: 0.5, Faults: named("healthy", "open H:1", "open H:2"), Places: at("H:1", "H:2", "H:3", "S")}, "0.00 to 0.50 V: nothing wrong, open H:1 or open H:2", "0", "0.5"},
		{1, plan.OutcomeBand{Low: nan, High: nan, Discrete: evidence.RayHigh, Places: at("H", "H:1")}, "5.00 V, the highest the module reports: ", "null", "null"},
		{1, plan.OutcomeBand{Low: nan, High: nan, Discrete: evidence.RayNone, Places: at("H", "H:1")}, "no value, the module does not answer: ", "null", "null"},
		{2, plan.OutcomeBand{Low: 4.95, High: 5.05, Places: at("H", "H:1")}, "about 5.00 V: ", "4.95", "5.05"},
		{3, plan.OutcomeBand{Low: -0.01, High: 0.02, Places: at("H", "H:1")}, "about 0 A: ", "-0.01", "0.02"},
		{3, plan.OutcomeBand{Low: -3, High: 190, Places: at("H", "H:1")}, "up to 190 A: ", "-3", "190"},
	} {
		o := v.outcomeJSON(plan.Suggestion{Reading: j.Readings[c.reading]}, c.o)
		low, high := asText(t, o.Low), asText(t, o.High)
		if o.Says != c.says || low != c.low || high != c.high {
			t.Errorf("%+v:\nsays %q from %s to %s", c, o.Says, low, high)
		}
	}
}

// asText is an amount as the JSON shows it, to ten digits.
func asText(t *testing.T, a Amount) string {
	t.Helper()
	if v := float64(a); !math.IsNaN(v) && !math.IsInf(v, 0) {
		a = Amount(math.Round(v*1e6) / 1e6)
	}
	body, err := json.Marshal(a)
	if err != nil {
		t.Fatal(err)
	}
	return string(body)
}

// TestMoved: the same faults before and after, each told once, and the fault that led before is told although it is out.
func TestMoved(t *testing.T) {
	before := rank.Rank(planJob(t, ""))
	// both parts are good, by ohms and by amps, and the feed is dead at the sensor's plug
	after := rank.Rank(planJob(t, `[[reading]]
at = "H:1/device"
to = "H:3/device"
ohms = 5000
key = "off"
unplugged = ["H"]
[[reading]]
at = "H:1"
volts = 0.0
[[reading]]
at = "M:A1"
volts = 5.0
[[reading]]
at = "L:1"
amps = 1.2
`))
	m := Moved{Before: before, After: after}
	rows := m.rows()
	led := before.Groups[0].Faults[0].Name()
	told := 0
	for i, r := range rows {
		if strings.HasPrefix(r.words, led) {
			told++
			if i == 0 || r.before < 0.1 || r.after > 0.05 {
				t.Errorf("%s, which led before, is told as row %d, %+v", led, i, r)
			}
		}
	}
	if told != 1 {
		t.Errorf("%s, which led before, is told %d times: %+v", led, told, rows)
	}
	sumBefore, sumAfter := 0.0, 0.0
	for _, r := range rows {
		sumBefore, sumAfter = sumBefore+r.before, sumAfter+r.after
	}
	if sumBefore > 1+1e-9 || sumAfter > 1+1e-9 || sumAfter < 0.95 {
		t.Errorf("the rows hold %.4f before and %.4f after: %+v", sumBefore, sumAfter, rows)
	}
	if math.Abs(rows[0].after-after.Groups[0].Probability) > 1e-9 || rows[0].after < rows[0].before {
		t.Errorf("the leading group rose from %g to %g, of %g", rows[0].before, rows[0].after, after.Groups[0].Probability)
	}
	if text := m.Text(Plain); !strings.Contains(text, " → ") || !strings.Contains(text, after.Groups[0].Faults[0].Name()) {
		t.Error(text)
	}
}

// placeOf is a fault's place with a probability.
func placeOf(t *testing.T, fault string, probability float64) rank.PlaceOdds {
	t.Helper()
	f, err := circuits.ParseFault(fault)
	if err != nil {
		t.Fatal(err)
	}
	return rank.PlaceOdds{Place: hypothesis.PlaceOf(f), Probability: probability, Leading: f}
}

func TestPlaceLeft(t *testing.T) {
	for leading, want := range map[string]string{"open C7:3": "C7:3: open", "device MHS: reads wrong": "MHS: reads wrong", "module MCU:A1 reference dead": "MCU: A1 reference dead",
		"healthy": "nothing to repair", "short-between C7:1 C7:2": "C7:1 with C7:2: short-between", "open C7:1 + open C7:2": "C7:1 and C7:2: open C7:1 + open C7:2"} {
		if got := placeLeft(placeOf(t, leading, 1)); got != want {
			t.Errorf("%s is %q, want %q", leading, got, want)
		}
	}
}
