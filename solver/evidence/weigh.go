package evidence

import (
	"cmp"
	"math"
	"runtime"
	"slices"
	"sync"

	"ohmtrail/circuits"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/network"
)

// cell is one strip of a hypothesis's unknown ohms (or one setting of a sensor that reads wrong), with what it
// predicts and how well that fits.
type cell struct {
	logOhms, width float64 // natural logarithm of the middle, and the strip's width in e-folds; 0 for no ohms
	shows          float64 // the state of a switch that reads wrong
	logPrior       float64
	logL           float64
	mean           []float64 // by observation; NaN where there is no value
	high           []float64 // by observation: the upper end of one that moved; nil where none moved
	miss           []float64 // by observation: share in which it is misread
	on             []float64 // by unknown switch: its way by straight laws; nil where that was not looked for
	decided        []int     // the unknown switches of which the other way is out of the question
	bend           float64   // greatest change of a prediction across the strip, in standard deviations
}

// Weighed is a hypothesis with its cells.
type Weighed struct {
	hypothesis.Hypothesis
	extra    float64          // logarithm of what hand-moved places say
	Unfelt   bool             // no reading feels the fault
	faint    bool             // none feels more than little of it
	Beside   *circuits.Single // the fault that is there as well; nil for a single fault
	in       *Scales          // likewise: what it was weighed in
	straight bool             // the machine's numbers do nothing that bends the laws of the readings
	duty     float64          // of an intermittent fault: the share of the time for which it is there
	felt     []float64        // likewise, by observation: the share in which it would move the value; nil where none is felt
	cells    []cell
	LogZ     float64 // logarithm of the evidence, prior and extra included
	why      []network.Reason
	overs    []bool // by observation: predicted beyond the meter's range
}

// Scales holds a job made ready for weighing.
type Scales struct {
	j          *circuits.Job
	layout     *network.Layout
	there      []circuits.Single // faults that are there in any case
	parameters []network.Parameter
	exact      []bool    // by parameter: it is what the file says
	curve      []float64 // by parameter: one standard deviation in e-folds
	stimuli    []int32   // the parameters that are stimuli
	perOhm     []float64 // by parameter: standard deviations in an ohm of a contact; 0 for any other
	offset     []float64 // by parameter: how many standard deviations its mean lies above its nominal value
	scen       scenarios
	obs        []observation
	unknowns   []unknown
	wrongAt    map[string]int // by device: the unknown that it shows if it reads wrong
	start      []float64      // by unknown: where the search begins, which is where a sound machine has it
	switches   []unknown      // unknown switches and switching sensors
	on         []float64      // by switch: its state where the search begins
	codes      []codeView
	keyOn      []int   // ohms readings with the key on, which count for nothing
	healthy    *cell   // what the readings say of no fault at all; nil until it is weighed
	hopeless   float64 // hopelessGap, less for pairs
	coarse     float64 // coarseGap, likewise
	best       float64 // the best evidence so far: hopeless hypotheses stop early
	whole      float64 // likewise of all hypotheses together: what has no share of it is not looked at closely
	off        Mechanisms
}

// Mechanisms are parts of the weighing that can be switched off, for tests that require the answers to get worse without
// them. All are on in the zero value.
type Mechanisms struct {
	Tolerances bool // nothing but the meter's error and the stimuli spreads a prediction
	Position   bool // unknown ohms are the middles of their strips, on one plain grid
	Misreads   bool // every reading is what it says
}

// NewScales prepares a job. there are faults that are there in any case, when a second one is looked for.
func NewScales(j *circuits.Job, off Mechanisms, there ...circuits.Single) *Scales {
	w := &Scales{j: j, off: off, there: slices.Clip(there), layout: network.NewWideLayout(j.Circuit, there...), hopeless: hopelessGap, coarse: coarseGap}
	w.parameters = w.layout.Parameters()
	for i, p := range w.parameters {
		w.exact = append(w.exact, p.Kind != network.Stimulus && (off.Tolerances || j.AsDrawn && !p.Drawn()))
		w.offset, w.perOhm = append(w.offset, p.Offset()), append(w.perOhm, 0)
		curve := p.Deviation()
		if !p.Log && p.Nominal != 0 {
			curve = min(curve/math.Abs(p.Nominal), 1)
		}
		w.curve = append(w.curve, curve)
		if p.Kind == network.Stimulus {
			w.stimuli = append(w.stimuli, int32(i))
		}
		if p.Key == circuits.ContactNumbers[0].Key {
			w.perOhm[len(w.perOhm)-1] = 1 / (p.Nominal * p.Deviation())
		}
	}
	w.best, w.whole = math.Inf(-1), math.Inf(-1)
	w.scen = newScenarios(j, w.parameters)
	for i, r := range j.Readings {
		if !r.Taken || r.Sound {
			continue
		}
		if r.Quantity == circuits.Ohms && r.State.Key != circuits.KeyOff {
			w.keyOn = append(w.keyOn, i)
			continue // ohms are measured with the key off; whatever this shows, it may be nonsense
		}
		w.obs = append(w.obs, newObservation(j, i))
	}
	w.findRepeats()
	w.findUnknowns()
	w.findSwitches()
	for i := range w.obs {
		w.prepare(&w.obs[i])
	}
	for i := range w.obs {
		w.throwSwitches(&w.obs[i])
	}
	for range startSearches {
		w.findStart()
	}
	for i := range w.obs {
		w.throwSwitches(&w.obs[i])
	}
	for i := range w.obs {
		w.walk(&w.obs[i])
	}
	w.codes = newCodeViews(w)
	return w
}

// findRepeats marks the observations that only repeat an earlier one: the same reading with the same value is one witness, for
// the meter, the probe and the machine are the same.
func (w *Scales) findRepeats() {
	first := map[string]int{}
	for i := range w.obs {
		o := &w.obs[i]
		key := circuits.ReadingKey(o.r)
		k, again := first[key]
		if !again {
			first[key] = i
			continue
		}
		if x := &w.obs[k]; x.ol == o.ol && x.pair == o.pair && math.Abs(x.value-o.value)+math.Abs(x.high-o.high) <= trembles(w.j.Meter, o.quantity, o.step) && x.r.Symptom == o.r.Symptom && !o.pair && !w.j.Intermittent {
			o.same = k
		}
	}
}

// prepare builds the frame and scenes of an observation.
func (w *Scales) prepare(o *observation) {
	o.frame = w.layout.Frame(w.j.Meter, o.r)
	w.open(o)
	o.healthy = make([]network.Prediction, len(o.scenes))
	for k := range o.scenes {
		w.sound(o, k)
	}
}

// open makes the networks of an observation: where the search begins, and the joint settings of the unknown stimuli.
func (w *Scales) open(o *observation) {
	o.scenes = []*network.Scene{o.frame.Scene(w.settings(o, w.start, w.on))}
	if w.scen.anyUnknown(w.j, o.r) {
		for k := range w.scen.sets {
			o.scenes = append(o.scenes, o.frame.Scene(w.scen.stimuli(w.j, o.r, k)))
		}
	}
}

// sound predicts an observation of a sound machine in one of its networks.
func (w *Scales) sound(o *observation, k int) {
	var c network.Case
	c.Place(o.scenes[k], circuits.Single{})
	c.Leaning(0, o.least(), &o.healthy[k])
}

// throwSwitches makes the networks of an observation with each of its unknown switches the other way.
func (w *Scales) throwSwitches(o *observation) {
	o.thrown = map[int]*way{}
	on := append([]float64(nil), w.on...)
	for _, k := range o.switches {
		on[k] = 1 - on[k]
		x := &way{scene: o.frame.Scene(w.settings(o, w.start, on))}
		on[k] = w.on[k]
		o.thrown[k] = x
		var c network.Case
		c.Place(x.scene, circuits.Single{})
		c.Leaning(0, o.least(), &x.sound)
		x.minded = minds(o, &x.sound, &o.healthy[0])
	}
}

// walk leads each unknown stimulus that moves an observation through its range, and notes whether the value of a sound machine goes
// one way all along.
func (w *Scales) walk(o *observation) {
	o.even, o.curve = map[int]bool{}, map[int]float64{}
	at := slices.Clone(w.start)
	for _, k := range o.unknowns {
		u := &w.unknowns[k]
		if o.healthy[0].Status == network.Fine && math.Abs(change(&o.healthy[0], u.parameter))*(u.high-u.low) < 0.5*o.sigma {
			continue
		}
		var c network.Case
		var p network.Prediction
		even, last, way := true, 0.0, 0.0
		for n := range walkPlaces {
			at[k] = u.low + (0.02+walkStride*float64(n))*(u.high-u.low)
			c.Place(o.frame.Scene(w.settings(o, at, w.on)), circuits.Single{})
			c.Value(0, &p)
			step := p.Value - last
			if n > 1 {
				o.curve[k] = max(o.curve[k], math.Abs(step-way)/sq(walkStride))
			}
			even = even && p.Status == network.Fine && (n == 0 || math.Abs(step) > 2*o.sigma && way*step >= 0)
			if last = p.Value; n > 0 {
				way = step
			}
		}
		at[k] = w.start[k]
		o.even[k] = even
	}
}

// walkPlaces is where a stimulus is looked at on its way, walkStride how far these places lie apart, in shares of its range.
const (
	walkPlaces = 6
	walkStride = 0.96 / (walkPlaces - 1)
)

// startSearches is how often the search for the start begins again where it ended: the machine's own numbers have their say there.
const startSearches = 2

// findStart lays a sound machine to the readings, so that every search for the unknown stimuli begins where it has them.
func (w *Scales) findStart() {
	if len(w.unknowns) == 0 && len(w.switches) == 0 || w.j.Intermittent {
		return
	}
	b := newBench(w)
	var c cell
	b.place(circuits.Single{}, 0)
	b.strip(circuits.Single{}, &c)
	copy(w.start, b.laid.at)
	copy(w.on, b.on)
	for i := range w.obs {
		o := &w.obs[i]
		if len(o.unknowns)+len(o.switches) > 0 {
			o.frame = w.layout.Frame(w.j.Meter, o.r) // whose first network, from which others are reckoned, is that
			w.open(o)
			w.sound(o, 0)
		}
	}
}

// weigh reckons the evidence of every hypothesis. Faults that no reading can tell apart at all are reckoned once.
func (w *Scales) weigh(hs []hypothesis.Hypothesis) []Weighed {
	out := make([]Weighed, len(hs))
	classes := map[string]int{}
	var todo []int
	same := make([]int, len(hs))
	for i, h := range hs {
		out[i].Hypothesis = h
		key := w.class(h.Fault)
		if first, ok := classes[key]; ok && key != "" {
			same[i] = first
			continue
		}
		same[i] = i
		classes[key] = i
		todo = append(todo, i)
	}
	if len(todo) > 0 && hs[todo[0]].Fault.Kind == circuits.Healthy { // it sets the mark for the others
		newBench(w).coarse(&out[todo[0]])
		bare := out[todo[0]].cells[0]
		w.healthy = &bare
		w.best = max(w.best, out[todo[0]].total()+math.Log(hs[todo[0]].Prior))
	}
	// The mark moves between passes only, so that what is left out does not depend on which processor was faster.
	w.forEach(todo, func(b *bench, i int) {
		if out[i].cells == nil {
			b.coarse(&out[i])
		}
	})
	for _, i := range todo {
		if f := hs[i].Fault.Kind; f == circuits.Unlisted || w.j.Intermittent {
			w.best = max(w.best, out[i].total()+math.Log(hs[i].Prior))
		}
	}
	w.sumUp(out, todo)
	w.followBest(out, todo)
	w.sumUp(out, todo)
	w.forEach(todo, func(b *bench, i int) { b.fine(&out[i]) })
	for i := range out {
		if same[i] != i {
			h := out[i].Hypothesis
			out[i] = out[same[i]]
			out[i].Hypothesis = h
		}
		w.conclude(&out[i])
	}
	return out
}

// sumUp adds up the evidence of all hypotheses as far as it is known.
func (w *Scales) sumUp(xs []Weighed, todo []int) {
	w.whole = w.best
	for _, i := range todo {
		w.whole = logAdd(w.whole, xs[i].total()+math.Log(xs[i].Prior))
	}
}

// followedAtOnce is how many hypotheses are followed before the mark moves for the first time; then twice as many, and so on.
const followedAtOnce = 4

// followBest weighs the hypotheses again that are near the best one by their straight laws, the nearest first: each that is
// followed moves the mark, and spares those far below it.
func (w *Scales) followBest(xs []Weighed, todo []int) {
	straight := func(i int) float64 { return xs[i].total() + math.Log(xs[i].Prior) }
	order := slices.Clone(todo)
	slices.SortStableFunc(order, func(i, k int) int { return cmp.Compare(straight(k), straight(i)) })
	for count := followedAtOnce; len(order) > 0; count *= 2 {
		var near []int
		for len(order) > 0 && len(near) < count {
			if i := order[0]; w.followed(&xs[i], xs[i].total()) {
				near = append(near, i)
			}
			order = order[1:]
		}
		w.forEach(near, func(b *bench, i int) { b.exact(&xs[i]) })
		for _, i := range near {
			w.best = max(w.best, straight(i))
		}
	}
}

// total is the logarithm of a hypothesis's likelihood over its strips.
func (x *Weighed) total() float64 {
	sum := math.Inf(-1)
	for _, c := range x.cells {
		sum = logAdd(sum, c.logPrior+c.logL)
	}
	return sum
}

// forEach works through a list on all processors, each with a bench of its own.
func (w *Scales) forEach(list []int, work func(b *bench, i int)) {
	queue := make(chan int, len(list))
	for _, i := range list {
		queue <- i
	}
	close(queue)
	var wait sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(list)) {
		wait.Add(1)
		go func() {
			defer wait.Done()
			b := newBench(w)
			for i := range queue {
				work(b, i)
			}
		}()
	}
	wait.Wait()
}

// class names the series faults that are one to every reading; "" for a fault that stands for itself.
func (w *Scales) class(f circuits.Single) string {
	if f.Kind != circuits.Open && f.Kind != circuits.HighResistance {
		return ""
	}
	key := make([]byte, 0, 4*len(w.obs)+8)
	key = append(key, byte(f.Kind))
	put := func(s *network.Scene) {
		k := s.Class(f.At)
		key = append(key, byte(k), byte(k>>8), byte(k>>16))
	}
	for i := range w.obs {
		put(w.obs[i].scenes[0])
	}
	for i := range w.codes {
		put(w.codes[i].scenes[0])
	}
	return string(key)
}

// Forget lets go of the networks solved so far; what is planned next solves anew.
func (w *Scales) Forget() {
	for i := range w.obs {
		w.open(&w.obs[i])
		w.throwSwitches(&w.obs[i])
	}
}

// conclude adds up a hypothesis's cells and what speaks for its place.
func (w *Scales) conclude(x *Weighed) {
	x.extra = w.placeEvidence(x) + w.triedEvidence(append(w.there, x.Fault)...)
	x.LogZ = math.Inf(-1)
	for _, c := range x.cells {
		x.LogZ = logAdd(x.LogZ, c.logPrior+c.logL)
	}
	x.LogZ += math.Log(x.Prior) + x.extra
}

func logAdd(a, b float64) float64 {
	if a < b {
		a, b = b, a
	}
	if math.IsInf(b, -1) {
		return a
	}
	return a + math.Log1p(math.Exp(b-a))
}

// likeliest is the strip under which the readings are likeliest, whatever its width.
func (x *Weighed) likeliest() cell {
	best := x.cells[0]
	for _, c := range x.cells {
		if c.logL > best.logL {
			best = c
		}
	}
	return best
}

// share is the logarithm of how much of a fault's unknown ohms suits the readings: what its integral over all strips is
// less than its best strip. A fault built in with its best ohms owes it, or two faults would beat one by a parameter that
// nobody pays for.
func (x *Weighed) share() float64 { return x.total() - x.likeliest().logL }

// bestCell is the strip of a hypothesis that fits best.
func (x *Weighed) bestCell() cell {
	best := x.cells[0]
	for _, c := range x.cells {
		if c.logPrior+c.logL > best.logPrior+best.logL {
			best = c
		}
	}
	return best
}

// Total is the logarithm of the evidence of all hypotheses together.
func Total(xs []Weighed) float64 {
	total := math.Inf(-1)
	for i := range xs {
		total = logAdd(total, xs[i].LogZ)
	}
	return total
}

// Job is the job that is weighed.
func (w *Scales) Job() *circuits.Job { return w.j }

// Taken are the readings that count, by index in the job.
func (w *Scales) Taken() []int {
	var out []int
	for i := range w.obs {
		out = append(out, w.obs[i].reading)
	}
	return out
}

// KeyOn are the ohms readings taken with the key on, by index in the job: they count for nothing.
func (w *Scales) KeyOn() []int { return w.keyOn }

// Moved tells whether the value of a reading that counts was seen to move between two values.
func (w *Scales) Moved(taken int) bool { return w.obs[taken].pair }

// pairHopeless is hopelessGap for pairs, which must beat the best single fault to count at all.
const pairHopeless = 8

// Beside weighs other faults with one built in that is there as well, with the ohms that suit it best. odds is the logarithm of
// the odds beforehand that two faults are there, of which it is one.
func (w *Scales) Beside(x *Weighed, odds float64, others []hypothesis.Hypothesis) []Weighed {
	there := x.Fault
	if there.Kind.TakesOhms() {
		there = there.WithOhms(math.Exp(x.likeliest().logOhms))
	}
	in := NewScales(w.j, w.off, there)
	cost := odds + x.share()
	in.best = w.best - cost
	in.hopeless, in.coarse = pairHopeless, pairHopeless/2
	out := in.weigh(others)
	in.Forget()
	beside := x.Fault
	for i := range out {
		out[i].Beside, out[i].in = &beside, in
		out[i].LogZ += cost
	}
	return out
}
