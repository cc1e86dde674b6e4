package evidence

import (
	"math"
	"slices"

	"ohmtrail/circuits"
	"ohmtrail/solver/network"
)

// Scales holds a job made ready for weighing.
type Scales struct {
	j          *circuits.Job
	layout     *network.Layout
	sister     *network.Layout   // of the sound machine beside it
	there      []circuits.Single // faults that are there in any case
	parameters []network.Parameter
	exact      []bool    // by parameter: it is what the file says
	curve      []float64 // by parameter: one standard deviation in e-folds
	stimuli    []int32   // the parameters that are stimuli
	perOhm     []float64 // by parameter: standard deviations in an ohm of a contact; 0 for any other
	offset     []float64 // by parameter: how many standard deviations its mean lies above its nominal value
	scen       scenarios
	obs        []observation
	taken      int   // of them one for each reading; the rest are the upper ends of readings with two values
	living     []int // the readings that moved by themselves
	fuses      fuses
	base       network.Settings // of what comes and goes: the machine's numbers as the readings have them; nil for the nominal ones
	baseOff    []float64        // likewise: in standard deviations off the nominal ones
	rest       []*laid          // of what comes and goes, by observation: a sound machine laid to all others
	turned     bool             // sweeps ran backwards
	other      *Scales          // the same job with the sweeps the other way round; nil where there is none
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
	w := newScales(j, off, false, there)
	if slices.ContainsFunc(w.obs, func(o observation) bool { return o.swept }) {
		w.other = newScales(j, off, true, there)
	}
	return w
}

func newScales(j *circuits.Job, off Mechanisms, turned bool, there []circuits.Single) *Scales {
	w := &Scales{j: j, off: off, turned: turned, there: slices.Clip(there), layout: network.NewWideLayout(j.Circuit, there...), hopeless: hopelessGap, coarse: coarseGap}
	w.sister = w.layout
	if len(there) > 0 && slices.ContainsFunc(j.Readings, func(r circuits.Reading) bool { return r.Sound && r.Taken }) {
		w.sister = network.NewWideLayout(j.Circuit)
	}
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
		if !r.Taken {
			continue
		}
		if r.Quantity == circuits.Ohms && r.State.Key != circuits.KeyOff {
			w.keyOn = append(w.keyOn, i)
			continue // ohms are measured with the key off; whatever this shows, it may be nonsense
		}
		w.obs = append(w.obs, newObservation(j, i))
	}
	w.partEnds()
	w.findRepeats()
	w.findUnknowns()
	w.findSwitches()
	for i := range w.obs {
		w.prepare(&w.obs[i])
	}
	w.orderEnds()
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
	w.findFuses()
	w.codes = newCodeViews(w)
	w.calibrate()
	return w
}

// findRepeats marks the observations that only repeat an earlier one: the same reading with the same value is one witness, for
// the meter, the probe and the machine are the same.
func (w *Scales) findRepeats() {
	first := map[string]int{}
	for i := range w.obs {
		o := &w.obs[i]
		key := circuits.ReadingKey(o.r)
		if i >= w.taken {
			key += " high"
		}
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

// frame lays an observation out on the machine that it was read on.
func (w *Scales) frame(o *observation) *network.Frame {
	if o.sound {
		return w.sister.Frame(w.j.Meter, o.r)
	}
	return w.layout.Frame(w.j.Meter, o.r)
}

// prepare builds the frame and scenes of an observation.
func (w *Scales) prepare(o *observation) {
	o.frame = w.frame(o)
	w.open(o)
	o.healthy = make([]network.Prediction, len(o.scenes))
	for k := range o.scenes {
		w.sound(o, k)
	}
}

// open makes the networks of an observation: where the search begins, and the joint settings of the unknown stimuli.
func (w *Scales) open(o *observation) {
	o.scenes = []*network.Scene{w.sceneOf(o, w.settings(o, w.start, w.on))}
	if w.scen.anyUnknown(w.j, o.r) {
		for k := range w.scen.sets {
			o.scenes = append(o.scenes, w.sceneOf(o, w.scen.stimuli(w.j, o.r, k)))
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
		x := &way{scene: w.sceneOf(o, w.settings(o, w.start, on))}
		on[k] = w.on[k]
		o.thrown[k] = x
		var c network.Case
		c.Place(x.scene, circuits.Single{})
		c.Leaning(0, o.least(), &x.sound)
		x.minded = minds(o, &x.sound, &o.healthy[0])
	}
}

// Forget lets go of the networks solved so far; what is planned next solves anew.
func (w *Scales) Forget() {
	for i := range w.obs {
		w.open(&w.obs[i])
		w.throwSwitches(&w.obs[i])
	}
}

// Job is the job that is weighed.
func (w *Scales) Job() *circuits.Job { return w.j }

// Taken are the readings that count, by index in the job.
func (w *Scales) Taken() []int {
	var out []int
	for i := range w.taken {
		out = append(out, w.obs[i].reading)
	}
	return out
}

// KeyOn are the ohms readings taken with the key on, by index in the job: they count for nothing.
func (w *Scales) KeyOn() []int { return w.keyOn }

// Moved tells whether the value of a reading that counts was seen to move between two values.
func (w *Scales) Moved(taken int) bool { return w.obs[taken].pair || w.obs[taken].twin >= 0 }
