package trial

import (
	"math"
	"math/rand/v2"

	"ohmtrail/circuits"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/plan"
	"ohmtrail/solver/rank"
)

// Order is a way to choose the next reading, for comparison.
type Order string

// The orders that a trial compares.
const (
	BestPerMinute Order = "planned"    // the reading worth most per minute
	HalfSplit     Order = "half-split" // the reading that parts the odds most evenly (tells most), whatever it costs
	AtRandom      Order = "random"     // any reading that can tell something
)

// Case is one hidden fault put before an order.
type Case struct {
	Circuit     string
	Fault       circuits.Fault
	Order       Order
	Readings    int
	Minutes     float64
	Done        bool    // the plan said so; false where it ran out of readings
	Top         float64 // probability of the leading group at the end
	TopRight    bool    // the truth is in the leading group
	InThree     bool    // the truth is in one of the three leading groups
	Place       float64 // probability of the leading place at the end
	PlaceRight  bool    // the leading place is the truth's (one of the two places, with two faults)
	Found       bool    // two faults: both were found by repairing the leading place and going on
	Misread     int     // readings that were not what they said
	Extra       Extra   // what no file knows of the machine
	EntropyBits float64 // of the places, before any reading
}

// mostTrialReadings bounds a trial: whoever has not found it by then gives up.
const mostTrialReadings = 25

// Setup says what a trial draws.
type Setup struct {
	Seed    uint64
	Misread float64 // share of readings that are not what they say
	Double  bool    // two faults at once

	AsWritten bool    // every number of the machine is the file's own, instead of drawn from its width
	Extras    float64 // share of machines that have one of the extras beside the fault

	Intermittent bool // the fault comes and goes, with other ohms each time, and the job says so
}

// Run draws the n-th hidden fault of a plan on a circuit and lets an order find it. Same plan, same machine.
func Run(c *circuits.Circuit, name string, plan Setup, n int, order Order) Case {
	v, j := trialMachine(c, name, plan, n)
	t := Case{Circuit: name, Fault: v.Fault, Order: order, Extra: v.Extra}
	choose := rand.New(rand.NewPCG(plan.Seed+1, uint64(n)))
	if plan.Intermittent {
		m := flickering(v, n, rand.New(rand.NewPCG(plan.Seed+2, uint64(n))))
		j.Intermittent, j.Codes = true, m.codes()
		t.work(j, m, choose)
		t.Misread = v.Missed
		return t
	}
	r := t.work(j, v, choose)
	t.Misread = v.Missed
	if plan.Double {
		t.goOn(&r, v, choose)
	}
	return t
}

// trialMachine draws the n-th machine of a plan, and the job as it comes in: codes, and some stimuli known.
func trialMachine(c *circuits.Circuit, name string, plan Setup, n int) (*Vehicle, *circuits.Job) {
	random := rand.New(rand.NewPCG(plan.Seed, uint64(n)*7919+nameSeed(name)))
	hs := hypothesis.Hypotheses(c, hypothesis.DefaultWeights(), nil)
	f := circuits.Fault{First: DrawFault(hs, c, random)}
	for plan.Intermittent && hypothesis.Steady(f.First) {
		f.First = DrawFault(hs, c, random)
	}
	for tries := 0; plan.Double && tries < 100 && (f.Second.Kind == circuits.Healthy || f.Second.At == f.First.At); tries++ {
		f.Second = DrawFault(hs, c, random)
	}
	if f.Second.At == f.First.At {
		f.Second = circuits.Single{} // a circuit of one place cannot fail at two
	}
	v := NewVehicle(c, f, plan.Misread, random)
	if plan.AsWritten {
		v.circuit = c
	}
	v.give(plan.Extras, rand.New(rand.NewPCG(plan.Seed+3, uint64(n)*7919+nameSeed(name))))
	j := &circuits.Job{File: name, Circuit: c, Meter: circuits.DefaultMeter(), Assume: map[string]float64{}}
	for i := range c.Devices { // in file order: a map's would make another machine of every run
		d := &c.Devices[i]
		set, ok := v.Stimuli[d.Name]
		if ok && (random.IntN(2) == 0 || d.Kind.TwoState()) {
			j.Assume[d.Name] = set
		}
	}
	j.Codes = v.Codes()
	return v, j
}

// goOn repairs the leading place of a machine with two faults, clears the codes and looks again: Found tells whether the
// other fault is named then.
func (t *Case) goOn(r *rank.Ranking, v *Vehicle, choose *rand.Rand) {
	rest := leftAfter(r.Places()[0].Place, r.Groups[0], t.Fault)
	if rest.Kind == circuits.Healthy {
		return // neither was named: the wrong place was repaired
	}
	both := groupNames(r.Groups[0], t.Fault.First) && groupNames(r.Groups[0], t.Fault.Second)
	v.Fault = circuits.Fault{First: rest}
	j := &circuits.Job{File: r.Job.File, Circuit: r.Job.Circuit, Meter: r.Job.Meter, Assume: r.Job.Assume, Codes: v.Codes()}
	second := Case{Circuit: t.Circuit, Fault: v.Fault, Order: t.Order}
	second.work(j, v, choose)
	t.Misread = v.Missed
	t.Readings += second.Readings
	t.Minutes += second.Minutes
	t.Found = both || second.TopRight
}

// leftAfter is the other of two faults once one is repaired: the one at the leading place, or else one that the leading
// group names, for its places are tried one after the other. Healthy where the wrong place was repaired.
func leftAfter(place hypothesis.Place, leading rank.Group, truth circuits.Fault) circuits.Single {
	for _, f := range [][2]circuits.Single{{truth.First, truth.Second}, {truth.Second, truth.First}} {
		if place.Mends(f[0]) || groupNames(leading, f[0]) {
			return f[1]
		}
	}
	return circuits.Single{}
}

// groupNames tells whether a group names a single fault, alone or as one of two.
func groupNames(g rank.Group, f circuits.Single) bool {
	f = f.WithoutOhms()
	for _, c := range g.Faults {
		if c.Whole().First.WithoutOhms() == f || c.Whole().Second.WithoutOhms() == f {
			return true
		}
	}
	return false
}

// answering is a machine that readings are asked of.
type answering interface {
	Answer(circuits.Meter, circuits.Reading) (circuits.Reading, bool)
}

// work takes readings until the plan is done.
func (t *Case) work(j *circuits.Job, v answering, choose *rand.Rand) rank.Ranking {
	var r rank.Ranking
	nothing := map[string]bool{}
	for {
		r = rank.Rank(j)
		next := plan.Next(&r)
		if t.Readings == 0 {
			t.EntropyBits = plan.Entropy(placeWeights(next.Remaining))
		}
		t.Done = next.Done
		if next.Done || t.Readings >= mostTrialReadings {
			break
		}
		reading, ok := t.pick(&r, next, choose, nothing)
		if !ok {
			break
		}
		t.Minutes += j.Circuit.Minutes(reading, j.Reached())
		t.Readings++
		answer, ok := v.Answer(j.Meter, reading)
		if !ok {
			nothing[circuits.ReadingKey(reading)] = true
			continue
		}
		j.Readings = append(j.Readings, answer)
	}
	t.judge(&r)
	return r
}

func placeWeights(ps []rank.PlaceOdds) []float64 {
	out := make([]float64, len(ps))
	for i, p := range ps {
		out[i] = p.Probability
	}
	return out
}

// pick chooses by the case's order among the readings that can tell something.
func (t *Case) pick(r *rank.Ranking, next plan.Plan, choose *rand.Rand, nothing map[string]bool) (circuits.Reading, bool) {
	var open []plan.Suggestion
	source := next.Suggestions
	if t.Order != BestPerMinute {
		source = plan.All(r)
	}
	for _, s := range source {
		if !nothing[circuits.ReadingKey(s.Reading)] && s.GainBits >= plan.WorthBits {
			open = append(open, s)
		}
	}
	if len(open) == 0 {
		return circuits.Reading{}, false
	}
	switch t.Order {
	case AtRandom:
		return open[choose.IntN(len(open))].Reading, true
	case HalfSplit:
		best := 0
		for i := range open {
			if open[i].GainBits > open[best].GainBits {
				best = i
			}
		}
		return open[best].Reading, true
	}
	return open[0].Reading, true
}

// judge holds the final ranking against the truth.
func (t *Case) judge(r *rank.Ranking) {
	t.Top = r.Groups[0].Probability
	truths := []circuits.Single{t.Fault.First.WithoutOhms()}
	if t.Fault.IsDouble() {
		truths = append(truths, t.Fault.Second.WithoutOhms())
	}
	for _, truth := range truths {
		for g := range r.Groups[:min(3, len(r.Groups))] {
			if groupNames(r.Groups[g], truth) {
				t.InThree = true
				t.TopRight = t.TopRight || g == 0
			}
		}
	}
	places := r.Places()
	t.Place = places[0].Probability
	for _, truth := range truths {
		t.PlaceRight = t.PlaceRight || places[0].Place.Mends(truth)
	}
}

// nameSeed makes a seed of a name.
func nameSeed(name string) uint64 {
	h := uint64(14695981039346656037)
	for _, b := range []byte(name) {
		h = (h ^ uint64(b)) * 1099511628211
	}
	return h
}

// drawnLow draws how low a reference is: in volts, or by its ohms.
func drawnLow(f circuits.Single, random *rand.Rand) circuits.Single {
	at := func(low, high float64) float64 { return low * math.Pow(high/low, random.Float64()) }
	if random.Float64() < 0.5 {
		return f.WithShare(at(circuits.LeastReferenceShare, circuits.MostReferenceShare))
	}
	return f.WithOhms(at(circuits.LeastReferenceOhms, circuits.MostReferenceOhms))
}

// DrawFault draws a single fault by the prior weights, never healthy. Series ohms are log-uniform from 3 Ω to 300 kΩ,
// those of a short from 0.1 Ω to 10 kΩ; a part that reads wrong shows any stimulus of its range, a low reference is low in
// volts or by its ohms.
func DrawFault(hs []hypothesis.Hypothesis, c *circuits.Circuit, random *rand.Rand) circuits.Single {
	var listed []hypothesis.Hypothesis
	total := 0.0
	for _, h := range hs {
		if h.Fault.Kind != circuits.Healthy && h.Fault.Kind != circuits.Unlisted {
			listed = append(listed, h)
			total += h.Prior
		}
	}
	if len(listed) == 0 {
		return circuits.Single{}
	}
	x := random.Float64() * total
	f := listed[len(listed)-1].Fault
	for _, h := range listed {
		if x -= h.Prior; x < 0 {
			f = h.Fault
			break
		}
	}
	switch {
	case f.Kind.TakesOhms():
		return f.WithOhms(drawnOhms(f.Kind, random))
	case f.Kind == circuits.DeviceInside && f.Words == circuits.ReadsWrong:
		d := c.Device(f.At.From.Place)
		f.Shows = d.Range[0] + random.Float64()*(d.Range[1]-d.Range[0])
		if d.Kind.TwoState() {
			f.Shows = float64(random.IntN(2))
		}
	case f.IsLowReference():
		return drawnLow(f, random)
	}
	return f
}
