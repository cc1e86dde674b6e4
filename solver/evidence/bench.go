package evidence

import (
	"math"
	"slices"

	"ohmtrail/circuits"
	"ohmtrail/solver/network"
)

// bench is one worker's set of buffers for weighing hypotheses.
type bench struct {
	w      *Scales
	fault  circuits.Single
	cases  [][]network.Case       // by observation and scenario
	placed [][]bool               // likewise: the fault is placed there
	felt   []bool                 // by observation: the fault may move it
	weak   []bool                 // likewise: it moves it by little, and what the value leans on with it
	aside  []network.Prediction   // by observation: with a switch the other way
	latest []latest               // by observation
	own    []bool                 // likewise: the fault is looked at in networks of its own
	survey *network.Survey        // of the networks that all faults are placed in
	minds  [][]bool               // by observation and unknown switch: whether that matters to it under the fault placed
	preds  [][]network.Prediction // likewise
	count  []int                  // networks of an observation: where the search begins, and the joint settings of unknown stimuli
	uses   []int                  // of them predicted, by observation: 1 or all
	wide   [][]bool               // by observation and parameter: an unknown stimulus that matters
	bends  []float64              // by observation: change of the prediction across a strip, in standard deviations
	member []int

	plain, rest         []int // observations that are plain numbers, and the others
	laid, other, thrown laid
	on                  []float64 // by unknown switch
	scratch             scratch
	next, before        []float64
	live                []int
	ask                 []int32
	off                 []float64 // by parameter: by how many deviations it is off its nominal; nil for none
	offMiddle           float64   // by how many deviations the ohms are off the middle of their strip
	pred                network.Prediction
	single              network.Case

	straight bool      // the machine's numbers are not looked at where they work hard
	rough    bool      // unknown stimuli and the machine's numbers are not followed
	exactly  bool      // nothing is left out because it is hopeless
	prior    float64   // logarithm of the hypothesis's prior
	slab     []float64 // room for the strips' means and shares
	forced   string    // the part that reads wrong
	shows    float64   // what it shows, if it is a switch
	wrong    int       // the unknown that a sensor shows which reads wrong, -1 for none
}

func newBench(w *Scales) *bench {
	n := len(w.obs)
	b := &bench{w: w, cases: make([][]network.Case, n), preds: make([][]network.Prediction, n), count: make([]int, n), uses: make([]int, n), wide: make([][]bool, n),
		bends: make([]float64, n), felt: make([]bool, n), weak: make([]bool, n), aside: make([]network.Prediction, n), latest: make([]latest, n), own: make([]bool, n), placed: make([][]bool, n), minds: make([][]bool, n), scratch: scratch{dense: make([]float64, w.columns())}, on: append([]float64(nil), w.on...), wrong: -1}
	for i := range n {
		b.preds[i] = make([]network.Prediction, 1+scenarioCount)
		b.cases[i] = make([]network.Case, 1+scenarioCount)
		b.placed[i] = make([]bool, 1+scenarioCount)
		b.minds[i] = make([]bool, len(w.switches))
		b.wide[i] = make([]bool, len(w.parameters))
	}
	for _, l := range []*laid{&b.laid, &b.other, &b.thrown} {
		l.moved = make([]network.Case, n)
	}
	return b
}

// coarse fills in a hypothesis's strips as they are, by straight laws alone.
func (b *bench) coarse(x *Weighed) {
	f := x.Fault
	if f.Kind == circuits.Unlisted {
		x.cells = []cell{b.unlisted()}
		return
	}
	x.cells = stripsOf(b.w.j.Circuit, f)
	b.begin(x)
	x.Unfelt, x.faint = b.unfelt(f), b.faint()
	if b.w.j.Intermittent && !x.Unfelt {
		b.byTurns(x)
		return
	}
	b.rough = f.Kind != circuits.Healthy
	defer func() { b.rough = false }()
	for i := range x.cells {
		if x.Unfelt {
			x.cells[i].like(b.w.healthy)
		} else {
			b.evaluate(f, &x.cells[i])
		}
	}
}

// followed tells whether a hypothesis is near enough to the best one, by its straight laws, for what is unknown to be followed.
func (w *Scales) followed(x *Weighed, logL float64) bool {
	return !x.faint && !w.j.Intermittent && x.Fault.Kind != circuits.Healthy && x.Fault.Kind != circuits.Unlisted &&
		math.Log(x.Prior)+logL > w.best-followGap*w.coarse
}

// followGap is how far below the best evidence a strip's may be, by its straight laws, to be followed, in coarse gaps.
const followGap = 2

// exact weighs those strips of a hypothesis again that are near the best evidence, with all that is unknown where the readings put it.
func (b *bench) exact(x *Weighed) {
	b.begin(x)
	b.straight = true
	for i := range x.cells {
		if c := &x.cells[i]; b.w.followed(x, c.logL) {
			b.evaluate(x.Fault, c)
		}
	}
	b.straight = false
	best := 0
	for i := range x.cells {
		if x.cells[i].logPrior+x.cells[i].logL > x.cells[best].logPrior+x.cells[best].logL {
			best = i
		}
	}
	before := x.cells[best].logL
	if b.evaluate(x.Fault, &x.cells[best]); math.Abs(x.cells[best].logL-before) < straightLaws {
		x.straight = true // what holds where it fits best holds for the other strips
		return
	}
	for i := range x.cells {
		if c := &x.cells[i]; i != best && b.w.followed(x, c.logL) {
			b.evaluate(x.Fault, c)
		}
	}
}

// straightLaws is how much, in logarithm, the best strip's evidence may change by its laws being looked at, for those of the others to
// be believed.
const straightLaws = 0.3

// fine cuts the strips finer where that matters, and adds what the codes say.
func (b *bench) fine(x *Weighed) {
	f := x.Fault
	if f.Kind == circuits.Unlisted {
		b.w.codeEvidence(f, x.cells)
		return
	}
	b.prior = math.Log(x.Prior)
	if !b.w.j.Intermittent && b.prior+x.total() > b.w.whole-b.w.coarse && !x.Unfelt && (f.Kind.TakesOhms() || f.Words == circuits.ReadsWrong) {
		b.begin(x)
		b.straight = x.straight
		for range refineDepth {
			if !b.refine(x) {
				break
			}
		}
		b.straight = false
	}
	b.finish(x)
}

// finish adds what the codes say, unless that could only lower what is hopeless already, and why values are missing.
func (b *bench) finish(x *Weighed) {
	if b.prior+x.total() > b.w.best-b.w.hopeless {
		b.w.codeEvidence(x.Fault, x.cells)
	}
	x.why, x.overs = make([]network.Reason, len(b.w.obs)), make([]bool, len(b.w.obs))
	if x.lacksValue() {
		if !x.Unfelt {
			b.begin(x) // what the codes say may have made another strip the best one
		}
		b.statuses(x)
	}
}

// lacksValue tells whether the best strip predicts no value for some observation.
func (x *Weighed) lacksValue() bool {
	for _, m := range x.bestCell().mean {
		if math.IsNaN(m) {
			return true
		}
	}
	return false
}

// begin places a hypothesis's fault, and finds which observations feel it.
func (b *bench) begin(x *Weighed) {
	b.prior = math.Log(x.Prior)
	b.place(x.Fault, 0)
	b.findFelt(x.Fault, x.cells)
}

// evaluate weighs one strip of a fault.
func (b *bench) evaluate(f circuits.Single, c *cell) {
	if readsOff(f) {
		b.place(f, c.shows)
	}
	b.strip(f, c)
}

// like gives a strip the weight of another one.
func (c *cell) like(other *cell) {
	c.logL, c.mean, c.high, c.miss = other.logL, other.mean, other.high, other.miss
}

// unfeltShare is the share of a reading's standard deviation below which a change of its prediction is none.
const unfeltShare = 0.05

// weakShare is likewise the share up to which a value is reckoned to lean on what that of a sound machine leans on.
const weakShare = 0.3

// unfelt tells whether no reading feels the fault that was begun: then it is weighed as healthy is.
func (b *bench) unfelt(f circuits.Single) bool {
	return b.w.healthy != nil && !readsOff(f) && !slices.Contains(b.felt, true)
}

// faint tells whether no reading feels more than little of the fault that was begun: nothing that is unknown goes elsewhere for it.
func (b *bench) faint() bool {
	for i := range b.w.obs {
		if !b.like(i) {
			return false
		}
	}
	return b.w.healthy != nil
}

// findFelt finds the observations that feel a fault at its most severe; what does not is what it is of a sound machine. Two settings
// of the unknown stimuli are looked at, so that two sensors which happen to show the same voltage in one do not hide a bridge
// between them.
func (b *bench) findFelt(f circuits.Single, cells []cell) {
	if b.w.healthy == nil || readsOff(f) {
		return
	}
	severe := cells[0] // a dead short
	if f.Kind == circuits.HighResistance {
		severe = cells[len(cells)-1]
	}
	ohms := severe.ohms(f)
	if b.survey == nil {
		b.survey = b.w.surveyed()
	}
	bounds := b.survey.Bounds(f, ohms)
	at := 0
	for i := range b.w.obs {
		o := &b.w.obs[i]
		b.felt[i], b.weak[i] = false, true
		for k := range min(2, len(o.scenes)) {
			bound := bounds[at]
			at++
			if !b.weak[i] || bound < unfeltShare*o.sigma {
				continue
			}
			b.caseOf(i, k).Value(ohms, &b.pred)
			sound := &o.healthy[k]
			b.felt[i] = b.felt[i] || feels(o, &b.pred, sound)
			b.weak[i] = b.pred.Status == sound.Status && math.Abs(b.pred.Value-sound.Value) < weakShare*o.sigma
		}
	}
}

// surveyed are the first two networks of each observation, to be looked at together.
func (w *Scales) surveyed() *network.Survey {
	var scenes []*network.Scene
	for i := range w.obs {
		scenes = append(scenes, w.obs[i].scenes[:min(2, len(w.obs[i].scenes))]...)
	}
	return network.NewSurvey(scenes)
}

// readsOff tells whether a fault is a part that shows another stimulus than there is.
func readsOff(f circuits.Single) bool {
	return f.Kind == circuits.DeviceInside && f.Words == circuits.ReadsWrong
}

// place puts a fault into the networks, each as it is asked for. shows is the state of a switch that reads wrong.
func (b *bench) place(f circuits.Single, shows float64) {
	w := b.w
	b.fault, b.wrong, b.forced, b.shows = f, -1, "", shows
	copy(b.on, w.on)
	wrong := readsOff(f)
	if wrong {
		b.forced = f.At.From.Place
		if k, continuous := w.wrongAt[b.forced]; continuous {
			b.wrong = k
		}
	}
	for i := range w.obs {
		o := &w.obs[i]
		b.own[i] = wrong && w.leansOn(o, b.forced)
		b.felt[i] = !wrong || b.own[i] || w.healthy == nil
		b.weak[i], b.latest[i].fine = false, false
		b.count[i] = len(o.scenes)
		if b.own[i] && b.wrong >= 0 {
			b.count[i] = 1 + scenarioCount
		}
		clear(b.placed[i])
		clear(b.minds[i])
	}
}

// caseOf is the fault in one network of an observation.
func (b *bench) caseOf(i, k int) *network.Case {
	if !b.placed[i][k] {
		b.cases[i][k].Place(b.sceneOf(i, k), b.faultAt(i, b.fault))
		b.placed[i][k] = true
	}
	return &b.cases[i][k]
}

// sceneOf is one network of an observation: where the search for the unknown stimuli begins, or in their k-th joint setting.
func (b *bench) sceneOf(i, k int) *network.Scene {
	o := &b.w.obs[i]
	if !b.own[i] {
		return o.scenes[k]
	}
	if k == 0 {
		return o.frame.Scene(b.settings(o, b.w.start))
	}
	set := b.w.scen.stimuli(b.w.j, o.r, min(k, len(b.w.scen.sets))-1)
	if set[b.forced] = b.shows; b.wrong >= 0 {
		set[b.forced] = b.cellOf(k, b.wrong)
	}
	return o.frame.Scene(set)
}

// sceneAt is the network of an observation with the unknown stimuli elsewhere.
func (b *bench) sceneAt(i int, at []float64) *network.Scene {
	return b.w.obs[i].frame.Scene(b.settings(&b.w.obs[i], at))
}

// faultAt is the fault at an observation: none on the sound machine beside it.
func (b *bench) faultAt(i int, f circuits.Single) circuits.Single {
	if b.w.obs[i].sound {
		return circuits.Single{}
	}
	return f
}

// settings are the stimuli at an observation with the unknown ones at those places, what a part that reads wrong shows among
// them.
func (b *bench) settings(o *observation, at []float64) map[string]float64 {
	set := b.w.settings(o, at, b.on)
	if b.wrong >= 0 {
		set[b.forced] = at[b.wrong]
	} else if b.forced != "" {
		set[b.forced] = b.shows
	}
	return set
}

// floats cuts a fresh slice from a slab that many strips share.
func (b *bench) floats(n int) []float64 {
	if len(b.slab) < n {
		b.slab = make([]float64, 256*n)
	}
	out := b.slab[:n:n]
	b.slab = b.slab[n:]
	return out
}
