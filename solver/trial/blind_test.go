package trial

import (
	"math"
	"math/rand/v2"
	"os"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/circuits/read"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/rank"
)

// blindJob is a job of a machine with a hidden fault, and the fault.
type blindJob struct {
	circuit string
	job     *circuits.Job
	truth   circuits.Single
}

// blindJobs draws that many jobs of each circuit: a fault by its prior, a machine with its own tolerances and stimuli,
// some of them known, and random readings of everything.
func blindJobs(names []string, each, readings int, misread float64, seed uint64) []blindJob {
	return blindJobsOn(NewVehicle, names, each, readings, misread, seed)
}

// blindJobsOn is blindJobs on machines drawn in some way.
func blindJobsOn(draw func(*circuits.Circuit, circuits.Fault, float64, *rand.Rand) *Vehicle, names []string, each, readings int, misread float64, seed uint64) []blindJob {
	var out []blindJob
	for _, name := range names {
		c := circuitNamed(name)
		hs := hypothesis.Hypotheses(c, hypothesis.DefaultWeights(), nil)
		for n := range each {
			random := rand.New(rand.NewPCG(seed, nameSeed(name)+uint64(n)))
			f := DrawFault(hs, c, random)
			v := draw(c, circuits.Fault{First: f}, misread, random)
			j := &circuits.Job{File: name, Circuit: c, Meter: circuits.DefaultMeter(), Assume: map[string]float64{}}
			for i := range c.Devices {
				if set, ok := v.Stimuli[c.Devices[i].Name]; ok && random.IntN(2) == 0 {
					j.Assume[c.Devices[i].Name] = set
				}
			}
			for _, r := range randomReadings(c, readings, random) {
				if a, ok := v.Answer(j.Meter, r); ok {
					j.Readings = append(j.Readings, a)
				}
			}
			out = append(out, blindJob{name, j, f.WithoutOhms()})
		}
	}
	return out
}

// circuitNamed is a circuit of the library, or a frozen one of testdata ("small/…").
func circuitNamed(name string) *circuits.Circuit {
	if !strings.HasPrefix(name, "small/") {
		c, err := library.Circuit(name)
		if err != nil {
			panic(err)
		}
		return c
	}
	text, err := os.ReadFile("testdata/" + name + ".circuit.toml")
	if err != nil {
		panic(err)
	}
	c, problems := read.Circuit(name, text)
	if c == nil {
		panic(problems)
	}
	return c
}

// randomReadings are one scan value, and volts at random terminals, one in four with a part unplugged.
func randomReadings(c *circuits.Circuit, count int, random *rand.Rand) []circuits.Reading {
	var out []circuits.Reading
	var inputs []circuits.Reading
	for _, m := range c.Modules {
		for _, p := range m.Pins {
			if p.Kind == circuits.PinInput {
				inputs = append(inputs, circuits.Reading{At: circuits.PointLocation(p.Point()), To: circuits.BNegative, Quantity: circuits.ScanVolts, State: circuits.State{Key: circuits.KeyOn}})
			}
		}
	}
	if len(inputs) > 0 {
		out = append(out, inputs[random.IntN(len(inputs))])
	}
	for len(out) < count {
		k := c.Contacts[random.IntN(len(c.Contacts))]
		r := circuits.Reading{At: circuits.PointLocation(k.First), To: circuits.BNegative, Quantity: circuits.Volts, State: circuits.State{Key: circuits.KeyOn}}
		if random.IntN(4) == 0 && len(c.Devices) > 0 {
			d := c.Devices[random.IntN(len(c.Devices))]
			r.State.Unplugged = []string{d.Name}
			r.At = circuits.PointLocation(circuits.Point{Place: d.Name, Cavity: d.Terminals[random.IntN(len(d.Terminals))].Cavity})
		}
		out = append(out, r)
	}
	return out
}

// score is how well rankings agree with the truth.
type score struct {
	jobs, shown, first int     // shown: the readings set the truth apart from nothing being wrong
	sure, sureRight    int     // groups called with 80 % or more
	brier, logLoss     float64 // of the groups
}

// judgeBlind ranks a job and adds to the score.
func (s *score) judgeBlind(b blindJob, r rank.Ranking) {
	at, healthy, brier := -1, -1, 1.0
	for g := range r.Groups {
		p := r.Groups[g].Probability
		brier += p * p
		for _, c := range r.Groups[g].Faults {
			if c.Whole() == (circuits.Fault{First: b.truth}) {
				at = g
				brier -= 2 * p
			}
			if c.Fault.Kind == circuits.Healthy && !c.Whole().IsDouble() {
				healthy = g
			}
		}
	}
	s.jobs++
	s.brier += brier
	if at >= 0 {
		s.logLoss -= math.Log(max(r.Groups[at].Probability, 1e-9))
	} else {
		s.logLoss -= math.Log(1e-9)
	}
	if r.Groups[0].Probability >= 0.8 {
		s.sure++
		if at == 0 {
			s.sureRight++
		}
	}
	if at < 0 || at != healthy {
		s.shown++
		if at == 0 {
			s.first++
		}
	}
}

// wilson are the bounds of the middle 95 % of a share that was right in so many of n cases.
func wilson(right, n int) (low, high float64) {
	const z = 1.96
	if n == 0 {
		return 0, 1
	}
	p, m := float64(right)/float64(n), float64(n)
	mid := (p + z*z/(2*m)) / (1 + z*z/m)
	half := z / (1 + z*z/m) * math.Sqrt(p*(1-p)/m+z*z/(4*m*m))
	return mid - half, mid + half
}
