package report

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"ohmtrail/cmd/internal/phrase/phrasetest"
)

// TestWordsAreComplete holds the keys that the code asks for against those of the words file: none is missing, none is
// there for nothing.
func TestWordsAreComplete(t *testing.T) {
	var composed []string
	for _, verb := range []string{"verified", "unverified", "failed", "todo"} {
		for _, kind := range []string{"joint", "part"} {
			composed = append(composed, "plain."+verb+"."+kind)
		}
	}
	phrasetest.Complete(t, words, composed...)
}

// TestWordsAreInOnePlace: no sentence of a report stands in the code. Messages about a file of rules are for the
// person at the keyboard and names of programs are no words.
func TestWordsAreInOnePlace(t *testing.T) {
	phrasetest.InOnePlace(t, func(file, text string) bool {
		return file == "rules.go" || slices.Contains(afterNames[:], text) || text == "not judged"
	})
}

// comesAndGoes is a job whose fault comes and goes, with a reading that was taken again.
const comesAndGoes = "format = 1\ncircuit = \"library:coolant-temperature\"\nintermittent = true\n[assume]\nECT = 20\n" +
	"[[reading]]\nat = \"ECU:A12\"\nscan_volts = [3.57, 4.995]\nwiggle = \"C101\"\n" +
	"[[reading]]\nat = \"ECU:A12\"\nscan_volts = 3.57\n[[reading]]\nat = \"ECU:A12\"\nscan_volts = 4.2\nsymptom = \"there\"\n"

// TestFaultByTurnsIsSaid: the values of a fault that comes and goes stand beside readings at which it was away.
func TestFaultByTurnsIsSaid(t *testing.T) {
	stays := strings.Replace(comesAndGoes, "intermittent = true", "", 1)
	for text, want := range map[string]bool{comesAndGoes: true, stays: false} {
		r := reportOf(t, "x.job.toml", text)
		if got := strings.Contains(string(r.Markdown()), "while it is away a reading is as on a healthy machine"); got != want {
			t.Errorf("the report says %t that the fault comes and goes, want %t", got, want)
		}
	}
}

// TestCodeOfAFaultThatIsAway: no part is named to the customer where only a code is wrong, and the report says what the code is
// evidence of, as rank does.
func TestCodeOfAFaultThatIsAway(t *testing.T) {
	const job = "format = 1\ncircuit = \"library:coolant-temperature\"\ncodes = [\"P0118\"]\n[assume]\nECT = 20\n" +
		"[[reading]]\nat = \"ECU:A12\"\nscan_volts = 3.57\n"
	for more, want := range map[string]string{
		"[[reading]]\nat = \"ECT:1\"\nvolts = 3.56\n": "Nothing that is there now explains P0118: evidence of a fault that comes and goes, most likely ",
		"": "Nothing that is there now explains P0118: ",
	} {
		r := reportOf(t, "x.job.toml", job+more)
		text := string(drawingData.ReplaceAll(r.Markdown(), nil))
		if !strings.Contains(text, want) || !strings.Contains(text, "NOT PROVEN: no fault found") {
			t.Errorf("the report does not say %q:\n%s", want, text)
		}
		if strings.Contains(text, "most likely the") || strings.Contains(text, "most likely one") {
			t.Errorf("a part is named to the customer:\n%s", text)
		}
	}
}

// TestFewOddsAreNoFinding: what holds less than half is not called the cause.
func TestFewOddsAreNoFinding(t *testing.T) {
	r := reportOf(t, "mast-height-start.job.toml", demoText(t, "mast-height-start.job.toml"))
	text := string(drawingData.ReplaceAll(r.Markdown(), nil))
	if !strings.Contains(text, "several places are still possible") || strings.Contains(text, "most likely the") || strings.Contains(text, "most likely one") {
		t.Errorf("25 %% is told to the customer as likely:\n%s", text)
	}
}

// TestEveryNameIsFilledIn: no report shows a name in braces.
func TestEveryNameIsFilledIn(t *testing.T) {
	texts := demoJobs(t)
	texts["squib.job.toml"], texts["coolant"], texts["lamp"], texts["x.job.toml"] = squibJob, readBack, lampJob, comesAndGoes
	for name, text := range texts {
		r := reportOf(t, name, text)
		plain := strings.ReplaceAll(string(drawingData.ReplaceAll(r.Markdown(), nil)), `\`, "") + r.Short()
		if m := regexp.MustCompile(`\{[a-z_]+\}`).FindString(plain); m != "" {
			t.Errorf("%s is not filled in", m)
		}
	}
}

func TestShellWord(t *testing.T) {
	for name, want := range map[string]string{"a/b-1.job.toml": "a/b-1.job.toml", "my job.toml": "'my job.toml'", "$(x).toml": "'$(x).toml'", "it's.toml": `'it'\''s.toml'`, "": "''"} {
		if got := shellWord(name); got != want {
			t.Errorf("%q is written %s, not %s", name, got, want)
		}
	}
}
