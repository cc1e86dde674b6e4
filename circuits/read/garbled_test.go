package read

import (
	"math/rand/v2"
	"os"
	"regexp"
	"strings"
	"testing"

	"ohmtrail/circuits"
)

// values are what stands behind a '=' or in a list of a file; keys are what stands before one.
var (
	values = regexp.MustCompile(`"[^"\n]*"|= *\[[^\[\]\n]*\]|= *\{[^{}\n]*\}|\b[0-9][0-9.e]*\b`)
	keys   = regexp.MustCompile(`\b[a-z_0-9]+ *=`)
)

// garbles are put in their place, beside values from elsewhere in the file.
var garbles = []string{`""`, `"B+"`, `"B-"`, `"C7:1"`, `"S1"`, `"BAS:1/device"`, `"X4:1/boom"`, `"a>b"`, `"4k7"`, `"OL"`, `-1`, `0`, `1e300`, `1e-300`, `nan`, `-inf`, `true`,
	`[]`, `[[]]`, `[[[1]]]`, `{}`, `[{}]`, `[1, 2]`, `[2, 1]`, `["BAS:1", "BAS:2"]`, `{ kind = "input" }`, `{ BAS = 0.5 }`, `2026-01-01`, `"open X4:1"`, `9007199254740993`}

// garble replaces one or two values or keys of a text by others.
func garble(text string, random *rand.Rand) string {
	for range 1 + random.IntN(4)/3 {
		what := values
		if random.IntN(6) == 0 {
			what = keys
		}
		all := what.FindAllStringIndex(text, -1)
		if len(all) == 0 {
			return text
		}
		at, other := all[random.IntN(len(all))], all[random.IntN(len(all))]
		with := text[other[0]:other[1]]
		if what == values && random.IntN(3) > 0 {
			with = garbles[random.IntN(len(garbles))]
		}
		if text[at[0]] == '=' {
			with = "= " + strings.TrimPrefix(with, "=")
		} else if what == values {
			with = strings.TrimPrefix(with, "=")
		}
		text = text[:at[0]] + with + text[at[1]:]
	}
	return text
}

// soundJob uses every key of a job.
const soundJob = `format = 1
circuit = "sound.circuit.toml"
machine = "loader 2"
complaint = "boom stops"
codes = ["BOOM-LOW", "OIL-HIGH"]
intermittent = true
[meter]
input_ohms = 10e6
volts = { pct = 0.5, plus = 0.01 }
ohms = { pct = 0.9, plus = 0.3 }
amps = { pct = 1.5, plus = 0.01 }
max_ohms = 40e6
[assume]
BAS = 0.25
OTS = 60
[[reading]]
at = "BAS:2"
to = "B-"
volts = 1.25
key = "run"
note = "back-probed"
symptom = "there"
[[reading]]
at = "BCU:A2"
scan_volts = [1.92, 4.98]
wiggle = "X4:2>BAS:2"
set = { BAS = 0.9 }
[[reading]]
at = "BAS:1/device"
to = "BAS:3/device"
ohms = "5k"
key = "off"
unplugged = ["BAS", "BCU.A"]
[[reading]]
at = "X4:1/boom"
quantity = "volts"
jumper = [["BAS:1", "BAS:2"]]
load = [{ from = "B+", to = "BAS:3", ohms = 50 }]
[[reading]]
at = "X4:3"
amps = 0.004
[[inspection]]
at = "X4:3"
seen = "spread"
`

// Files in which values have changed places or turned into odd ones are mostly still TOML, which random bytes are not: none
// of them makes us panic, and what is accepted is whole.
func TestGarbledFilesAreReportedOrWhole(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 11))
	read := func(file string) string {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		return string(text)
	}
	circuit := read(badFolder + "/sound.circuit.toml")
	sound := []string{circuit, read("testdata/mast.circuit.toml"), read("../library/throttle-potentiometer.circuit.toml"), read("../library/can-pair.circuit.toml")}
	refused, accepted, garbledTOML := 0, 0, 0
	count := func(problems circuits.Problems) {
		switch {
		case len(problems.Errors()) == 0:
			accepted++
		case len(problems) == 1 && problems[0].Where == "":
			garbledTOML++
		default:
			refused++
		}
	}
	for i := range 1200 {
		text := garble(sound[i%len(sound)], random)
		c, problems := Circuit("x", []byte(text))
		checkProblems(t, "x", text, problems, c != nil)
		if c != nil {
			checkCircuit(t, c)
		}
		count(problems)
		job := garble(soundJob, random)
		j, problems := Job("job", []byte(job), func(string) (string, []byte, error) { return "circuit", []byte(circuit), nil })
		checkProblems(t, "job", job, problems, j != nil)
		if j != nil {
			for _, r := range j.Readings {
				checkReading(t, j, r)
			}
		}
		count(problems)
	}
	// The seed is fixed: most files must have reached the rules behind the syntax, or the test tests little.
	if accepted < 200 || refused < 800 {
		t.Errorf("of 2400 garbled files %d were accepted, %d refused by a rule, %d no TOML", accepted, refused, garbledTOML)
	}
	t.Logf("of 2400 garbled files %d were accepted, %d refused by a rule, %d no TOML", accepted, refused, garbledTOML)
}
