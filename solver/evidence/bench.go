package evidence

import (
	"math"

	"ohmtrail/circuits"
	"ohmtrail/solver/network"
)

// bench is one worker's set of buffers for weighing hypotheses, one after the other.
type bench struct {
	w      *Scales
	fault  circuits.Single // that is placed
	trays  []tray          // by observation
	survey *network.Survey // of the networks that all faults are placed in
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
	gone     []string  // the fuses that are gone before anything flows
	forced   string    // the part that reads wrong
	shows    float64   // what it shows, if it is a switch
	wrong    int       // the unknown that a sensor shows which reads wrong, -1 for none
}

// tray is what a bench has of one observation under the fault that is placed. Its networks are that in which the search for the
// unknown stimuli begins, and their joint settings.
type tray struct {
	cases  []network.Case // by network
	preds  []network.Prediction
	placed []bool
	count  int     // networks there are
	uses   int     // of them predicted: 1 or all
	own    bool    // the fault is looked at in networks of its own
	felt   bool    // the fault may move the value
	away   bool    // the fault is away: one end of a reading that moved by itself
	weak   bool    // it moves it by little, and what the value leans on with it
	wide   []bool  // by parameter: an unknown stimulus that matters
	minds  []bool  // by unknown switch: whether that matters
	bends  float64 // change of the prediction across a strip, in standard deviations
	latest latest
	aside  network.Prediction // with a switch the other way
}

func newBench(w *Scales) *bench {
	n := len(w.obs)
	b := &bench{w: w, trays: make([]tray, n), scratch: scratch{dense: make([]float64, w.columns())}, on: append([]float64(nil), w.on...), wrong: -1}
	for i := range b.trays {
		b.trays[i] = tray{cases: make([]network.Case, 1+scenarioCount), preds: make([]network.Prediction, 1+scenarioCount),
			placed: make([]bool, 1+scenarioCount), wide: make([]bool, len(w.parameters)), minds: make([]bool, len(w.switches))}
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

// fine cuts the strips finer where that matters, and adds what the codes say.
func (b *bench) fine(x *Weighed) {
	f := x.Fault
	if f.Kind == circuits.Unlisted {
		b.w.codeEvidence(f, x.cells)
		return
	}
	b.prior = math.Log(x.Prior)
	if !b.w.j.Intermittent && b.prior+x.total() > b.w.whole-b.w.coarse && !x.Unfelt && (f.Kind.TakesOhms() || byStrip(f)) {
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
	b.place(x.Fault)
	b.findFelt(x.Fault, x.cells)
}

// like gives a strip the weight of another one.
func (c *cell) like(other *cell) {
	c.logL, c.mean, c.high, c.miss = other.logL, other.mean, other.high, other.miss
}

// readsOff tells whether a fault is a part that shows another stimulus than there is.
func readsOff(f circuits.Single) bool {
	return f.Kind == circuits.DeviceInside && f.Words == circuits.ReadsWrong
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
