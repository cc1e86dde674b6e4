package report

import (
	"encoding/json"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/models"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/rank"
)

// amount is a number as a report prints it, with its unit.
var amount = regexp.MustCompile(`(-?\d+(?:\.\d+)?) (nΩ|µΩ|mΩ|Ω|kΩ|MΩ|GΩ|nA|µA|mA|A|V)`)

// parsed are the amounts of a text, in V, Ω or A, each with half a step of its last digit.
func parsed(t *testing.T, text string) (values, halves []float64) {
	t.Helper()
	if strings.Contains(text, "(") { // "2.70 V (2.60 to 2.80 V)": the unit of the bounds stands once
		text = regexp.MustCompile(`\((-?[\d.]+) to (\S+ )(\S+)\)`).ReplaceAllString(text, "($1 $3 to $2$3)")
	}
	for _, m := range amount.FindAllStringSubmatch(text, -1) {
		v, err := strconv.ParseFloat(m[1], 64)
		if err != nil {
			t.Fatal(err)
		}
		half := 0.5
		if _, decimals, ok := strings.Cut(m[1], "."); ok {
			half *= math.Pow(10, -float64(len(decimals)))
		}
		scale := map[string]float64{"n": 1e-9, "µ": 1e-6, "m": 1e-3, "k": 1e3, "M": 1e6, "G": 1e9}[strings.TrimRight(m[2], "ΩAV")]
		if scale == 0 {
			scale = 1
		}
		values, halves = append(values, v*scale), append(halves, half*scale*1.001)
	}
	return values, halves
}

// rows are the cells of the first Markdown table under a heading.
func rows(t *testing.T, report, heading string) [][]string {
	t.Helper()
	_, text, ok := strings.Cut(report, "## "+heading+"\n")
	if !ok {
		t.Fatalf("no heading %q", heading)
	}
	var out [][]string
	for i, line := range regexp.MustCompile(`(?m)^\|.*\|$`).FindAllString(strings.Split(text, "\n## ")[0], -1) {
		if i < 2 {
			continue // head and rule
		}
		cells := strings.Split(strings.Trim(line, "|"), "|")
		for k := range cells {
			cells[k] = strings.NewReplacer(`\`, "", "**", "").Replace(strings.TrimSpace(cells[k]))
		}
		out = append(out, cells)
	}
	return out
}

// asJSON is a value as a program reads it: what `--json` prints.
func asJSON(t *testing.T, v any) map[string]any {
	t.Helper()
	b, err := view.JSON(v)
	if err != nil {
		t.Fatal(err)
	}
	var out map[string]any
	if err := json.Unmarshal(b, &out); err != nil {
		t.Fatal(err)
	}
	return out
}

// readBack is a job with ohms and OL.
const readBack = "format = 1\ncircuit = \"library:coolant-temperature\"\n[assume]\nECT = 20\n" +
	"[[reading]]\nat = \"ECT:1\"\nvolts = 4.98\n[[reading]]\nat = \"ECT:1/device\"\nto = \"ECT:2/device\"\nohms = 2480\nkey = \"off\"\nunplugged = [\"ECT\"]\n" +
	"[[reading]]\nat = \"ECT:2\"\nvolts = 4.9\n[[reading]]\nat = \"ECT:2\"\nohms = \"OL\"\nkey = \"off\"\nunplugged = [\"ECT\"]\n"

// lampJob is a job with amps, and with a reading of a resistance that jumped.
const lampJob = "format = 1\ncircuit = \"library:lamp-relay-feed\"\nintermittent = true\n[assume]\nK4C = 1\n" +
	"[[reading]]\nat = \"LL:1\"\nvolts = 12.58\n[[reading]]\nat = \"LL:1\"\namps = 0.0\n" +
	"[[reading]]\nat = \"C8:3\"\nto = \"G2\"\nkey = \"off\"\nohms = [0.1, \"OL\"]\nwiggle = \"C8\"\n"

// TestReadingsReadBack parses the table of readings and compares each number with what `expect` and the job say.
func TestReadingsReadBack(t *testing.T) {
	texts := demoJobs(t)
	texts["coolant"], texts["lamp"] = readBack, lampJob
	compared := 0
	for name, text := range texts {
		w := writtenUp(t, name, text)
		j, report := w.job, string(w.report.Markdown())
		command := regexp.MustCompile(`--fault "healthy" --fault "([^"]*)"`).FindStringSubmatch(strings.ReplaceAll(report, `\`, ""))
		if command == nil {
			t.Fatalf("%s: the report does not say how to have its numbers again", name)
		}
		f, err := hypothesis.CheckFault(j, command[1])
		if err != nil {
			t.Fatal(err)
		}
		answer := asJSON(t, view.Expect(j, []view.Asked{{Name: "healthy"}, {Name: command[1], Fault: f}}).JSON())
		faults := answer["faults"].([]any)
		table := rows(t, report, "Readings in order")
		if len(table) != len(j.Readings) {
			t.Fatalf("%s: %d rows of %d readings", name, len(table), len(j.Readings))
		}
		for i, row := range table {
			if want := j.Readings[i]; want.Taken && !want.OL {
				printedAs(t, name, i, row[3], want.Value)
			}
			for k := range 2 {
				expected := faults[k].(map[string]any)
				compared += compare(t, name, i, row[4+k], at(expected, "expected", i), at(expected, "low", i), at(expected, "high", i))
			}
		}
	}
	if compared < 30 {
		t.Errorf("only %d cells were compared", compared)
	}
}

func at(m map[string]any, key string, i int) any { return m[key].([]any)[i] }

func printedAs(t *testing.T, name string, i int, cell string, want float64) {
	t.Helper()
	values, halves := parsed(t, cell)
	if len(values) == 0 || math.Abs(values[0]-want) > halves[0] {
		t.Errorf("%s, reading %d: %q is printed for %g", name, i+1, cell, want)
	}
}

// compare holds a cell "value (low to high)" against the numbers of the JSON.
func compare(t *testing.T, name string, i int, cell string, expected, low, high any) int {
	t.Helper()
	if expected == nil {
		if !strings.HasPrefix(cell, "none: ") {
			t.Errorf("%s, reading %d: %q where there is no value", name, i+1, cell)
		}
		return 1
	}
	if expected == "OL" {
		if !strings.HasPrefix(cell, "OL") {
			t.Errorf("%s, reading %d: %q for OL", name, i+1, cell)
		}
		return 1
	}
	values, halves := parsed(t, cell)
	want := []any{expected, low, high}
	if len(values) == 1 { // all three print alike
		values, halves = append(values, values[0], values[0]), append(halves, halves[0], halves[0])
	}
	for k, v := range values {
		if number, ok := want[k].(float64); ok && math.Abs(v-number) > halves[k] {
			t.Errorf("%s, reading %d: %q prints %g for %g", name, i+1, cell, v, number)
		}
	}
	return 1
}

// TestReasoningReadsBack compares what the report says of excluded faults with the account that `rank --why` gives.
func TestReasoningReadsBack(t *testing.T) {
	line := regexp.MustCompile(`^- (.+?): reading (\d+) \(.*\) showed (.+) and should be near (.+): (.+) or (over )?([\d.]+) spreads away\. Now (.+)\.`)
	checked := 0
	texts := demoJobs(t)
	texts["coolant"] = readBack
	for name, text := range texts {
		w := writtenUp(t, name, text)
		j, ranking := w.job, w.ranking
		report := strings.ReplaceAll(string(w.report.Markdown()), `\`, "")
		for _, l := range strings.Split(report, "\n") {
			m := line.FindStringSubmatch(l)
			if m == nil {
				continue
			}
			checked++
			f, err := hypothesis.CheckFault(j, m[1])
			if err != nil {
				t.Fatalf("%s: %q is no fault: %v", name, m[1], err)
			}
			c, ok := ranking.Find(f)
			if !ok {
				t.Fatalf("%s: %q is not ranked", name, m[1])
			}
			why := asJSON(t, view.Ranked{Ranking: ranking, Why: []rank.Candidate{c}}.JSON())["why"].([]any)[0].(map[string]any)
			n, _ := strconv.Atoi(m[2])
			var account map[string]any
			for _, a := range why["readings"].([]any) {
				if a.(map[string]any)["reading"] == float64(n-1) {
					account = a.(map[string]any)
				}
			}
			if account == nil || account["against"] != true {
				t.Errorf("%s: by rank, reading %d does not speak against %s", name, n, m[1])
				continue
			}
			printedAs(t, name, n-1, m[3], account["value"].(float64))
			printedAs(t, name, n-1, m[4], account["predicts"].(float64))
			printedAs(t, name, n-1, m[5], math.Abs(account["value"].(float64)-account["predicts"].(float64)))
			gap, spreads := math.Abs(account["gap"].(float64)), 0.0
			if spreads, err = strconv.ParseFloat(m[7], 64); err != nil {
				t.Fatal(err)
			}
			if m[6] != "" && gap <= spreads || m[6] == "" && math.Abs(gap-spreads) > 0.51 {
				t.Errorf("%s, %s: %q spreads for a gap of %g", name, m[1], m[6]+m[7], gap)
			}
		}
	}
	if checked < 15 {
		t.Errorf("only %d lines of reasoning were found", checked)
	}
}

// TestProbabilitiesReadBack compares place, group and fault with what `rank` gives.
func TestProbabilitiesReadBack(t *testing.T) {
	for name, text := range demoJobs(t) {
		w := writtenUp(t, name, text)
		report := strings.ReplaceAll(string(w.report.Markdown()), `\`, "")
		groups := asJSON(t, view.Ranked{Ranking: w.ranking}.JSON())["groups"].([]any)
		m := regexp.MustCompile(`- (\S+) holds (\S+ %) of the probability, the group of faults that no reading tells apart (\S+ %)\.`).FindStringSubmatch(report)
		if m == nil {
			t.Fatalf("%s: no sentence on how sure it is", name)
		}
		sum := 0.0
		for _, g := range groups {
			for _, f := range g.(map[string]any)["faults"].([]any) {
				if f.(map[string]any)["location"] == m[1] {
					sum += f.(map[string]any)["probability"].(float64)
				}
			}
		}
		if want := percent(sum); m[2] != plainSpace(want) {
			t.Errorf("%s: %s holds %s by the report and %s by rank", name, m[1], m[2], want)
		}
		if want := percent(groups[0].(map[string]any)["probability"].(float64)); m[3] != plainSpace(want) {
			t.Errorf("%s: the group holds %s by the report and %s by rank", name, m[3], want)
		}
	}
}

// TestVerificationReadsBack compares the table after the repair with what `expect` says of the same readings.
func TestVerificationReadsBack(t *testing.T) {
	w := writtenUp(t, "mast-height-repaired.job.toml", demoText(t, "mast-height-repaired.job.toml"))
	j := w.job
	table := rows(t, string(w.report.Markdown()), "Verification")
	after := *j
	after.Readings = j.Verification
	f, err := hypothesis.CheckFault(j, "high-resistance C7:1 324")
	if err != nil {
		t.Fatal(err)
	}
	faults := asJSON(t, view.Expect(&after, []view.Asked{{Name: "healthy"}, {Name: "fault", Fault: f}}).JSON())["faults"].([]any)
	if len(table) != 2 {
		t.Fatalf("%d rows", len(table))
	}
	for i, row := range table {
		printedAs(t, "after", i, row[2], j.Verification[i].Value)
		for k := range 2 {
			e := faults[k].(map[string]any)
			compare(t, "after", i, row[3+k], at(e, "expected", i), at(e, "low", i), at(e, "high", i))
		}
		if row[5] != "pass" {
			t.Errorf("reading %d: %s", i+1, row[5])
		}
	}
}

// TestOhmsReadBack: the resistance of the finding is the one that rank gives.
func TestOhmsReadBack(t *testing.T) {
	w := writtenUp(t, "mast-height-repaired.job.toml", demoText(t, "mast-height-repaired.job.toml"))
	c := w.ranking.Groups[0].Faults[0]
	want := models.SI(c.Ohms.Best, "Ω") + " (" + models.SI(c.Ohms.Low, "Ω") + " to " + models.SI(c.Ohms.High, "Ω")
	if report := string(w.report.Markdown()); !strings.Contains(report, want) {
		t.Errorf("the report lacks %q", want)
	}
	if f := find(w.job, w.ranking).fault; f.First.Ohms != 324 || f.First.Kind != circuits.HighResistance {
		t.Errorf("the finding is %s", f)
	}
}
