package plan

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/read"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/internal/given"
	"ohmtrail/solver/network"
)

const feedJob = `format = 1
circuit = "x.circuit.toml"

[[reading]]
at = "S:1"
unplugged = ["S"]

[[reading]]
at = "S:1"
unplugged = ["S"]
load = [{ from = "S:1", to = "B-", ohms = 250 }]

[[reading]]
at = "S:1/device"
to = "S:2/device"
quantity = "ohms"
key = "off"
unplugged = ["S"]
`

// feed is a 5 V reference of exactly 1 Ω inside and 1 % tolerance that feeds a resistor of 500 Ω ± 5 %.
func feed(t *testing.T) *circuits.Job {
	t.Helper()
	j, problems := read.Job("x.job.toml", []byte(feedJob), func(string) (string, []byte, error) {
		return "x.circuit.toml", []byte(`format = 1
[module.M]
pins.1 = { kind = "reference", volts = 5, tolerance_pct = 1, source_ohms = 1, leak_ohms = "100M" }
pins.2 = { kind = "return", ohms = 0.001 }
[device.S]
kind = "resistor"
terminals = { a = "1", b = "2" }
ohms = 500
[[run]]
path = ["M:1", "S:1"]
[[run]]
path = ["M:2", "S:2"]
`), nil
	})
	if j == nil {
		t.Fatal(problems)
	}
	return j
}

// TestCatchingByHand: 5 V behind 1 Ω with 250 Ω on it is 4.980 V, ± 1 %, and the meter adds 0.5 % + 10 mV and 2 mV at the
// ends: 4.893 to 5.067 V pass. With R more in the feed it is 5·250/(251 + R) V ± 1 %. R = 3 gives 4.921 V, from 4.872 to
// 4.970 V, of which (4.893 − 4.872)/(4.970 − 4.872), about a fifth, lies outside; R = 20 gives 4.613 V and lies outside as
// a whole. So of the seven resistances from 3 Ω to 300 kΩ, six and a fifth are caught under load: 0.88. Without a load
// the meter's 10 MΩ draws next to nothing, 4.913 to 5.087 V pass, and only 300 kΩ shows (4.854 V ± 1 %, up to 4.903 V):
// one of seven. Behind an open the wire reads 0 V, drawn down by the load or by the meter itself.
func TestCatchingByHand(t *testing.T) {
	j := feed(t)
	at, err := circuits.ParseLocation("M:1>S:1")
	if err != nil {
		t.Fatal(err)
	}
	slips := []hypothesis.Slip{{Kind: hypothesis.SlipPlace, Fault: circuits.Single{Kind: circuits.HighResistance, At: at}}, {Kind: hypothesis.SlipPlace, Fault: circuits.Single{Kind: circuits.Open, At: at}},
		{Kind: hypothesis.SlipPart, Fault: circuits.Single{Kind: circuits.DeviceInside, At: circuits.PointLocation(circuits.Point{Place: "S"}), Words: circuits.OpenInside}},
		{Kind: hypothesis.SlipStays, Fault: circuits.Single{Kind: circuits.HighResistance, At: at, Ohms: 20, HasOhms: true}}}
	checks := evidence.Catching(j, j.Readings, slips)
	for _, c := range []struct {
		reading, slip int
		want          float64
	}{{1, 0, 0.88}, {0, 0, 1.0 / 7}, {1, 1, 1}, {0, 1, 1}, {2, 2, 1}, {0, 2, 0}, {1, 2, 0}, {2, 0, 0}, {1, 3, 1}, {0, 3, 0}} {
		given.About(t, circuits.ReadingKey(j.Readings[c.reading])+" "+slips[c.slip].Fault.String(), checks[c.reading].Catches[c.slip], c.want, 0.01)
	}
}

// TestAccept: the bounds of the same readings, by hand. What 95 % of the machines show under load: the reference's 5 V ± 1 %
// have a deviation of 28.7 mV, what lies behind it may be 0.05 to 2 Ω (0.316 Ω in the middle, a deviation of 1.065 e-folds: 6 mV
// dropped at 20 mA, ± 6.7 mV), so 4.976 V less 1.67 deviations of 29.5 mV. Ohms of a part ± 5 %, spread by the logarithm:
// 475·(525/475)^0.025 to 475·(525/475)^0.975 Ω. The meter adds 0.5 % + 10 mV, 0.9 % + 0.3 Ω.
func TestAccept(t *testing.T) {
	j := feed(t)
	a := evidence.Accept(j, j.Readings[1])
	given.About(t, "from", a.From, 4.976-1.67*0.0295-(0.005*4.93+0.010), 0.004)
	given.About(t, "to", a.To, 4.980*1.01+(0.005*5.03+0.010), 0.004)
	o := evidence.Accept(j, j.Readings[2])
	given.About(t, "ohms from", o.From, 476.2-(0.009*476.2+0.3), 0.3)
	given.About(t, "ohms to", o.To, 523.7+(0.009*523.7+0.3), 0.3)
	if o.Holds(0, true) || !o.Holds(500, false) || o.Holds(440, false) || math.IsNaN(o.From) {
		t.Errorf("500 Ω ± 5 %% is accepted from %g to %g", o.From, o.To)
	}
	live := j.Readings[2]
	live.State.Key = circuits.KeyOn
	if evidence.Accept(j, live).Why.Kind == network.NoReason {
		t.Error("ohms with the key on are judged")
	}
}

// TestShortestChecks holds the search against trying every set, on random chances under a fixed seed.
func TestShortestChecks(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	j := feed(t)
	readings := Candidates(j)
	for round := range 200 {
		n, m := 3+random.IntN(6), 4+random.IntN(7)
		slips := make([]hypothesis.Slip, n)
		for i := range slips {
			slips[i].Kind = []hypothesis.SlipKind{hypothesis.SlipPlace, hypothesis.SlipNeighbour}[random.IntN(2)]
		}
		checks := make([]evidence.Check, m)
		for k := range checks {
			checks[k] = evidence.Check{Reading: readings[random.IntN(len(readings))], Catches: make([]float64, n)}
			checks[k].Minutes = j.Circuit.Minutes(checks[k].Reading, nil)
			for i := range n {
				checks[k].Catches[i] = []float64{0, 0, 0.3, 0.6, 0.95, 1}[random.IntN(6)]
			}
		}
		most := best(n, checks, nil, nil)
		covers := func(set []int) bool {
			got := best(n, nil, checks, set)
			for i := range n {
				share := asGoodBeside
				if slips[i].Kind == hypothesis.SlipPlace {
					share = asGood
				}
				if most[i] >= catchable && got[i] < share*most[i] {
					return false
				}
			}
			return true
		}
		cost := func(set []int) float64 {
			return (&coverSearch{c: j.Circuit, checks: checks}).cost(set)
		}
		least, minutes := math.MaxInt, 0.0
		for bits := range 1 << m {
			var set []int
			for k := range m {
				if bits>>k&1 == 1 {
					set = append(set, k)
				}
			}
			if len(set) <= least && covers(set) {
				if m := cost(set); len(set) < least || m < minutes {
					least, minutes = len(set), m
				}
			}
		}
		picked, chance := ShortestChecks(j.Circuit, slips, checks, nil, nil)
		if !covers(picked) || len(picked) != least || math.Abs(cost(picked)-minutes) > 1e-9 || !slices.Equal(chance, best(n, nil, checks, picked)) {
			t.Fatalf("round %d: %v in %g minutes covers %v, and %d in %g would do", round, picked, cost(picked), covers(picked), least, minutes)
		}
		if again, _ := ShortestChecks(j.Circuit, slips, nil, checks, nil); again != nil {
			t.Fatalf("round %d: everything was taken, and %v is proposed", round, again)
		}
	}
}
