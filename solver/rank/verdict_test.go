package rank

import (
	"regexp"
	"strconv"
	"strings"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/solver/internal/given"
)

// The faults that a verdict counts hold the probability that it gives them, and a sound machine among them is said.
func TestVerdictCountsWhatHoldsTheOdds(t *testing.T) {
	counted := regexp.MustCompile(`one of (\d+) faults`)
	for _, text := range []string{
		sharedAway + "[[reading]]\nat = \"ECM:A3\"\nscan_volts = 2.5\n",
		strings.Replace(sharedAway, "[assume]", "codes = [\"P0107\"]\n[assume]", 1) + "[[reading]]\nat = \"ECM:A3\"\nscan_volts = 2.5\n",
		sharedAway + "[[reading]]\nat = \"ECM:A3\"\nscan_volts = [0.0, 2.5]\nwiggle = \"C3\"\n",
	} {
		r := Rank(given.Job(t, text))
		g := r.Groups[0]
		m := counted.FindStringSubmatch(r.Verdict)
		if m == nil {
			if g.Faults[0].Fault.Kind != circuits.Healthy {
				t.Errorf("a group of %d, and the verdict counts none: %s", len(g.Faults), r.Verdict)
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
			t.Errorf("%d faults hold %.3f of %.3f: %s", n, held, g.Probability, r.Verdict)
		}
		if sound != strings.Contains(r.Verdict, "sound machine") {
			t.Errorf("a sound machine among them is %t: %s", sound, r.Verdict)
		}
	}
}
