package view

import (
	"regexp"
	"strconv"
	"strings"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/circuits/read"
	"ohmtrail/solver/rank"
)

const sharedAway = "circuit = \"library:shared-reference\"\nintermittent = true\n[assume]\nMAP = 0.5\nTPS = 0.5\nECT = 20\nFRP = 0.5\n"

// libraryJob reads a job's text on a circuit of the library.
func libraryJob(t *testing.T, text string) *circuits.Job {
	t.Helper()
	j, problems := read.Job("test.job.toml", []byte("format = 1\n"+text), func(name string) (string, []byte, error) {
		text, err := library.Text(name)
		return name, text, err
	})
	if j == nil {
		t.Fatalf("%v", problems)
	}
	return j
}

// The faults that a verdict counts hold the probability that it gives them, and a sound machine among them is said.
func TestVerdictCountsWhatHoldsTheOdds(t *testing.T) {
	counted := regexp.MustCompile(`one of (\d+) faults`)
	for _, text := range []string{
		sharedAway + "[[reading]]\nat = \"ECM:A3\"\nscan_volts = 2.5\n",
		strings.Replace(sharedAway, "[assume]", "codes = [\"P0107\"]\n[assume]", 1) + "[[reading]]\nat = \"ECM:A3\"\nscan_volts = 2.5\n",
		sharedAway + "[[reading]]\nat = \"ECM:A3\"\nscan_volts = [0.0, 2.5]\nwiggle = \"C3\"\n",
	} {
		r := rank.Rank(libraryJob(t, text))
		g := r.Groups[0]
		m := counted.FindStringSubmatch(Verdict(&r))
		if m == nil {
			if g.Faults[0].Fault.Kind != circuits.Healthy {
				t.Errorf("a group of %d, and the verdict counts none: %s", len(g.Faults), Verdict(&r))
			}
			continue
		}
		n, _ := strconv.Atoi(m[1])
		held, sound := 0.0, false
		for _, f := range g.Faults[:min(n, len(g.Faults))] {
			held += f.Probability
			sound = sound || f.Fault.Kind == circuits.Healthy
		}
		if held < 0.97*g.Probability {
			t.Errorf("%d faults hold %.3f of %.3f: %s", n, held, g.Probability, Verdict(&r))
		}
		if sound != strings.Contains(Verdict(&r), "sound machine") {
			t.Errorf("a sound machine among them is %t: %s", sound, Verdict(&r))
		}
	}
}
