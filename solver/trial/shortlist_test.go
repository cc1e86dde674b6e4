package trial

import (
	"testing"
	"time"

	"ohmtrail/circuits/library"
	"ohmtrail/solver/plan"
	"ohmtrail/solver/rank"
)

// The next reading is looked for on a short list. What that loses is bounded here, against a look at every reading that could
// be taken: of the information a minute, and of the information, of the best one.
func TestShortListLosesLittle(t *testing.T) {
	var worstRate, worstBits, sumRate, sumBits float64
	jobs, at := 0, ""
	var short, whole time.Duration
	for _, name := range []string{"throttle-potentiometer", "pressure-three-wire", "lamp-relay-feed", "shared-reference", "pedal-two-track"} {
		c, err := library.Circuit(name)
		if err != nil {
			t.Fatal(err)
		}
		for seed := range uint64(6) {
			j, truth, _ := drawnJob(c, seed, false)
			j.Readings = j.Readings[:min(2, len(j.Readings))]
			r := rank.Rank(j)
			begun := time.Now()
			next := plan.Next(&r)
			short += time.Since(begun)
			begun = time.Now()
			all := plan.All(&r)
			whole += time.Since(begun)
			var rate, bits float64
			for _, s := range all {
				if s.GainBits >= plan.WorthBits {
					rate, bits = max(rate, s.GainBits/s.Minutes), max(bits, s.GainBits)
				}
			}
			if bits == 0 {
				continue
			}
			var gotRate, gotBits float64
			for _, s := range next.Suggestions {
				gotRate = max(gotRate, s.GainBits/s.Minutes)
			}
			if next.Telling != nil {
				gotBits = next.Telling.GainBits
			}
			jobs++
			lostRate, lostBits := 1-gotRate/rate, 1-gotBits/bits
			sumRate, sumBits = sumRate+lostRate, sumBits+lostBits
			if lostRate > worstRate {
				worstRate, at = lostRate, name+" with "+truth.String()
			}
			worstBits = max(worstBits, lostBits)
		}
	}
	t.Logf("%d jobs: of the information a minute %.1f %% is lost on average, %.0f %% at worst (%s); of the information %.1f %% and %.0f %%; %v against %v",
		jobs, 100*sumRate/float64(jobs), 100*worstRate, at, 100*sumBits/float64(jobs), 100*worstBits, short.Round(time.Millisecond), whole.Round(time.Millisecond))
	if sumRate/float64(jobs) > 0.01 || worstRate > 0.1 || sumBits/float64(jobs) > 0.01 || worstBits > 0.1 {
		t.Errorf("the short list loses more than a tenth of what the best reading tells, or more than a hundredth on average")
	}
	if jobs < 15 {
		t.Errorf("%d jobs in which a reading is worth taking say nothing", jobs)
	}
}
