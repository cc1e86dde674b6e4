package draft

import (
	"bytes"
	"errors"
	"strings"
	"testing"
)

// talk drafts with answers from a pipe or a terminal; it gives what was said, and the circuit file.
func talk(t *testing.T, answers string, o Options) (said, file string, err error) {
	t.Helper()
	var talk, out bytes.Buffer
	o.Ask = true
	problems, err := New(strings.NewReader(answers), &talk, &out, o)
	if err == nil && len(problems) > 0 {
		t.Errorf("problems:\n%v", problems)
	}
	return talk.String(), out.String(), err
}

func lines(answers ...string) string { return strings.Join(answers, "\n") + "\n" }

var twoSensors = lines(
	"1", "MOT", "oil temperature", "MCU", "A4,A3", "", "C7, S2", "VT,BN", "0.75", "2.4 0.6 0.3", "", "", "", "",
	"yes", "pressure", "PS", "", "", "", "", "", "?", "", "2,1,1", "", "0 250 bar", "none",
	"no", "B1", "B2", "F12:15", "24", "Two sensors",
)

func TestQuestionsOneByOne(t *testing.T) {
	said, file, err := talk(t, twoSensors, Options{})
	if err != nil {
		t.Fatal(err)
	}
	golden(t, "talk.txt", said)
	golden(t, "talk.circuit.toml", file)
}

// Who answers nothing gets what no questions at all give.
func TestNoAnswersAreUsualAnswers(t *testing.T) {
	want := draftQuiet(t, Options{})
	for _, answers := range []string{"", "\n", strings.Repeat("\n", 40)} {
		said, file, err := talk(t, answers, Options{})
		if err != nil || file != want {
			t.Errorf("%q: %v\n%s", answers, err, file)
		}
		if told := strings.Contains(said, "no more answers"); told == (len(answers) == 40) {
			t.Errorf("%q: the end of the answers is told: %v", answers, told)
		}
	}
}

func TestAnswersGivenAsOptionsAreNotAsked(t *testing.T) {
	said, file, err := talk(t, lines("MOT", "oil"), options(t, "part=thermistor pins=A7,A8 title=x"))
	if err != nil {
		t.Fatal(err)
	}
	if strings.Contains(said, "What part is it?") || strings.Contains(said, "Module pins") {
		t.Errorf("asked all the same:\n%s", said)
	}
	if !strings.Contains(file, `path = ["ECU:A7", "MOT:1"]`) {
		t.Errorf("the option was not heeded:\n%s", file)
	}
}

func TestBadAnswerInAPipeEndsTheDraft(t *testing.T) {
	_, file, err := talk(t, lines("thermistor", "MOT", "", "ECU", "A1"), Options{})
	want := `answer 5, to the question "pins": "A1": 2 are needed, one pin each for signal, return; here are 1`
	if err == nil || err.Error() != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
	if file != "" {
		t.Error("something was written")
	}
	if _, _, err := talk(t, lines("thermistor", "", "", "", "", "", "", "", "", "", "", "", "", "", "perhaps"), Options{}); err == nil || !strings.Contains(err.Error(), `answer 15: "perhaps" is neither yes nor no`) {
		t.Error(err)
	}
}

func TestBadAnswerAtATerminalIsAskedAgain(t *testing.T) {
	said, file, err := talk(t, lines("thermostat", "thermistor", "MOT", "", "ECU", "A1", "A1,A2", "", "", "", "", "", "", "", "", "", "maybe", "no"), Options{Again: true})
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"no part is called that", "2 are needed, one pin each for signal, return; here are 1", "write yes or no"} {
		if !strings.Contains(said, want) {
			t.Errorf("%q was not said:\n%s", want, said)
		}
	}
	if !strings.Contains(file, `path = ["ECU:A1", "MOT:1"]`) || strings.Contains(file, "pins,") {
		t.Errorf("the second answer was not heeded:\n%s", file)
	}
}

// The answers end where the usual answer does not do: pin A1 is taken as the power pin only by an option.
func TestEndOfAnswersWhereOneIsNeeded(t *testing.T) {
	_, file, err := talk(t, lines("thermistor", "MOT", "", "ECU", "A1,A2", "", "", "", "", "", "", "", "", "", "", "C3"), Options{Answers: map[string]string{"ground": "C3"}, Again: true})
	if err == nil || file != "" {
		t.Errorf("power and ground on one pin were accepted: %v", err)
	}
}

func TestWriterErrorIsReported(t *testing.T) {
	failed := errors.New("disk full")
	if _, err := New(strings.NewReader(""), &bytes.Buffer{}, failing{failed}, Options{}); !errors.Is(err, failed) {
		t.Errorf("got %v", err)
	}
}

type failing struct{ err error }

func (f failing) Write([]byte) (int, error) { return 0, f.err }

// Whatever is answered, new neither panics nor writes a file that does not parse.
func FuzzNew(f *testing.F) {
	f.Add(twoSensors)
	for _, k := range KindWords() {
		f.Add(k + "\n")
	}
	f.Add(lines("can", "", "", "", "DSP:1+2", "", "", "S1=high,C1,S2=low"))
	f.Add(lines("coil", "", "x", "", "low", "B+,A1", "1,2", "G1,C3", "", "", "", "", "", "F1:5"))
	f.Fuzz(func(t *testing.T, answers string) {
		var talk, out bytes.Buffer
		problems, err := New(strings.NewReader(answers), &talk, &out, Options{Ask: true})
		if err != nil && out.Len() > 0 {
			t.Error("written beside an error")
		}
		if err == nil && len(problems.Errors()) > 0 {
			t.Error(problems)
		}
		if err != nil && strings.Contains(err.Error(), "does not parse") && !strings.Contains(err.Error(), "other way round") {
			t.Errorf("%v\n%s", err, talk.String())
		}
	})
}
