package evidence

import (
	"math"

	"ohmtrail/circuits"
	"ohmtrail/solver/network"
)

// bench is one worker's set of buffers for weighing hypotheses.
type bench struct {
	w      *Scales
	cases  [][]network.Case       // by observation and scenario
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

	exactly bool      // nothing is left out because it is hopeless
	prior   float64   // logarithm of the hypothesis's prior
	slab    []float64 // room for the strips' means and shares
	forced  string    // the part that reads wrong
	shows   float64   // what it shows, if it is a switch
	wrong   int       // the unknown that a sensor shows which reads wrong, -1 for none
}

func newBench(w *Scales) *bench {
	n := len(w.obs)
	b := &bench{w: w, cases: make([][]network.Case, n), preds: make([][]network.Prediction, n), count: make([]int, n), uses: make([]int, n), wide: make([][]bool, n),
		bends: make([]float64, n), scratch: scratch{dense: make([]float64, w.columns())}, on: append([]float64(nil), w.on...), wrong: -1}
	for i := range n {
		b.preds[i] = make([]network.Prediction, 1+scenarioCount)
		b.cases[i] = make([]network.Case, 1+scenarioCount)
		b.wide[i] = make([]bool, len(w.parameters))
	}
	for _, l := range []*laid{&b.laid, &b.other, &b.thrown} {
		l.moved = make([]network.Case, n)
	}
	return b
}

// coarse fills in a hypothesis's strips as they are. A fault without strips is done with then: to place it again would
// be to build another network, for two ways changed over.
func (b *bench) coarse(x *Weighed) {
	f := x.Fault
	if f.Kind == circuits.Unlisted {
		x.cells = []cell{b.unlisted()}
		return
	}
	b.begin(x)
	x.cells = stripsOf(b.w.j.Circuit, f)
	x.Unfelt = b.unfelt(f, x.cells)
	if b.w.j.Intermittent && !x.Unfelt {
		b.byTurns(x)
		return
	}
	for i := range x.cells {
		if x.Unfelt {
			x.cells[i].like(b.w.healthy)
		} else {
			b.evaluate(f, &x.cells[i])
		}
	}
	if len(x.cells) == 1 && f.Kind != circuits.Healthy {
		b.finish(x)
	}
}

// fine cuts the strips finer where that matters, and adds what the codes say.
func (b *bench) fine(x *Weighed) {
	f := x.Fault
	if x.finished {
		return
	}
	if f.Kind == circuits.Unlisted {
		b.w.codeEvidence(f, x.cells)
		return
	}
	b.prior = math.Log(x.Prior)
	if !b.w.j.Intermittent && b.prior+x.total() > b.w.best-b.w.coarse && !x.Unfelt && (f.Kind.TakesOhms() || f.Words == circuits.ReadsWrong) {
		b.begin(x)
		for range refineDepth {
			if !b.refine(x) {
				break
			}
		}
	}
	b.finish(x)
}

// finish adds what the codes say, unless that could only lower what is hopeless already, and why values are missing.
func (b *bench) finish(x *Weighed) {
	if b.prior+x.total() > b.w.best-b.w.hopeless {
		b.w.codeEvidence(x.Fault, x.cells)
	}
	x.finished = true
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

// begin places a hypothesis's fault.
func (b *bench) begin(x *Weighed) {
	b.prior = math.Log(x.Prior)
	b.place(x.Fault, 0)
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

// unfelt tells whether no reading feels a fault even at its most severe: then it is weighed as healthy is. Two settings of the
// unknown stimuli are looked at, so that two sensors which happen to show the same voltage in one do not hide a bridge
// between them.
func (b *bench) unfelt(f circuits.Single, cells []cell) bool {
	if b.w.healthy == nil || readsOff(f) {
		return false
	}
	severe := cells[0] // a dead short
	if f.Kind == circuits.HighResistance {
		severe = cells[len(cells)-1]
	}
	for i := range b.w.obs {
		o := &b.w.obs[i]
		for k := range min(2, len(o.scenes)) {
			b.cases[i][k].Value(severe.ohms(f), &b.pred)
			if feels(o, &b.pred, &o.healthy[k]) {
				return false
			}
		}
	}
	return true
}

// readsOff tells whether a fault is a part that shows another stimulus than there is.
func readsOff(f circuits.Single) bool {
	return f.Kind == circuits.DeviceInside && f.Words == circuits.ReadsWrong
}

// place puts a fault into every network. shows is the state of a switch that reads wrong.
func (b *bench) place(f circuits.Single, shows float64) {
	w := b.w
	b.wrong, b.forced, b.shows = -1, "", shows
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
		scenes := o.scenes
		if wrong && w.leansOn(o, b.forced) || f.Kind == circuits.Swapped {
			scenes = b.scenesOf(i, f)
		}
		b.count[i] = len(scenes)
		for k, s := range scenes {
			b.cases[i][k].Place(s, b.faultAt(i, f))
		}
	}
}

// scenesOf are the networks of an observation for a fault that is not placed in those of all others.
func (b *bench) scenesOf(i int, f circuits.Single) []*network.Scene {
	o, frame := &b.w.obs[i], b.frameOf(i, f)
	out := []*network.Scene{frame.Scene(b.settings(o, b.w.start))}
	if len(o.scenes) == 1 && b.wrong < 0 {
		return out
	}
	for k := 1; k <= scenarioCount; k++ {
		set := b.w.scen.stimuli(b.w.j, o.r, min(k, len(b.w.scen.sets))-1)
		if b.wrong >= 0 {
			set[b.forced] = b.cellOf(k, b.wrong)
		} else if b.forced != "" {
			set[b.forced] = b.shows
		}
		out = append(out, frame.Scene(set))
	}
	return out
}

// sceneAt is the network of an observation with the unknown stimuli elsewhere.
func (b *bench) sceneAt(i int, f circuits.Single, at []float64) *network.Scene {
	return b.frameOf(i, f).Scene(b.settings(&b.w.obs[i], at))
}

// frameOf is what an observation of a fault is looked at in.
func (b *bench) frameOf(i int, f circuits.Single) *network.Frame {
	o := &b.w.obs[i]
	if f.Kind == circuits.Swapped && !o.sound {
		return b.w.layout.Swapped(b.w.j.Meter, o.r, f)
	}
	return o.frame
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
