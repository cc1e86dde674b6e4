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
	uses   []int                  // scenarios predicted, by observation: 1 or all
	wide   [][]bool               // by observation and parameter: an unknown stimulus that matters
	part   []int                  // component of each observation
	sd     [][]float64            // scratch: by member of a component, scaled sensitivities
	joint  joint
	miss   []float64
	noise  []float64
	curve  []float64 // by observation: variance for the bend of a strip's law
	bends  []float64 // by observation: change of the prediction across a strip, in standard deviations
	shift  []float64
	member []int
	terms  []float64

	prior    float64   // logarithm of the hypothesis's prior
	slab     []float64 // room for the strips' means and shares
	gaussian []int     // positions in member that are plain Gaussians
	means    []float64
	misses   []float64

	wrong      int     // parameter of the sensor that reads wrong, -1 for none
	wrongWidth float64 // width of the cell of stimuli that it shows
}

func newBench(w *Scales) *bench {
	n := len(w.obs)
	b := &bench{w: w, cases: make([][]network.Case, n), preds: make([][]network.Prediction, n), uses: make([]int, n), wide: make([][]bool, n),
		part: make([]int, n), sd: make([][]float64, n), curve: make([]float64, n), bends: make([]float64, n), wrong: -1}
	for i := range n {
		b.preds[i] = make([]network.Prediction, len(w.obs[i].scenes))
		b.cases[i] = make([]network.Case, len(w.obs[i].scenes))
		b.wide[i] = make([]bool, len(w.parameters))
		b.sd[i] = make([]float64, len(w.parameters)+1)
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
	} else if !x.Unfelt && x.lacksValue() {
		b.begin(x)
	}
	b.finish(x)
}

// finish adds what the codes say, unless that could only lower what is hopeless already, and why values are missing. The
// fault must be placed if a value is.
func (b *bench) finish(x *Weighed) {
	if b.prior+x.total() > b.w.best-b.w.hopeless {
		b.w.codeEvidence(x.Fault, x.cells)
	}
	x.finished = true
	x.why, x.overs = make([]network.Reason, len(b.w.obs)), make([]bool, len(b.w.obs))
	if x.lacksValue() {
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
	f := x.Fault
	b.prior, b.wrong = math.Log(x.Prior), -1
	if f.Kind == circuits.DeviceInside && f.Words == circuits.ReadsWrong {
		b.wrong = b.w.stimulusOf(f.At.From.Place)
	}
	b.place(f, 0)
}

// evaluate weighs one strip of a fault.
func (b *bench) evaluate(f circuits.Single, c *cell) {
	if f.Kind == circuits.DeviceInside && f.Words == circuits.ReadsWrong {
		b.place(f, c.logOhms)
	}
	b.cell(f, c)
}

// like gives a strip the weight of another one.
func (c *cell) like(other *cell) {
	c.logL, c.mean, c.high, c.miss = other.logL, other.mean, other.high, other.miss
}

// unfeltShare is the share of a reading's standard deviation below which a change of its prediction is none.
const unfeltShare = 0.05

// unfelt tells whether no reading feels a fault even at its most severe: then it is weighed as healthy is. Two
// scenarios are looked at, so that two sensors which happen to show the same voltage in one do not hide a bridge
// between them.
func (b *bench) unfelt(f circuits.Single, cells []cell) bool {
	if b.w.healthy == nil || f.Kind == circuits.DeviceInside && f.Words == circuits.ReadsWrong {
		return false
	}
	severe := cells[0].logOhms // a dead short
	if f.Kind == circuits.HighResistance {
		severe = cells[len(cells)-1].logOhms
	}
	ohms := math.Exp(severe)
	for i := range b.w.obs {
		o := &b.w.obs[i]
		for k := range min(2, len(o.scenes)) {
			p, h := &b.preds[i][k], &o.healthy[k]
			b.cases[i][k].Value(ohms, p)
			if p.Status != h.Status || p.Why != h.Why || p.Status == network.Fine && math.Abs(p.Value-h.Value) > unfeltShare*o.sigma {
				return false
			}
		}
	}
	return true
}

// place puts a fault into every scene.
func (b *bench) place(f circuits.Single, shows float64) {
	wrong := f.Kind == circuits.DeviceInside && f.Words == circuits.ReadsWrong
	for i := range b.w.obs {
		o := &b.w.obs[i]
		scenes := o.scenes
		switch {
		case wrong && !b.w.leansOn(o, f.At.From.Place):
		case wrong:
			scenes = b.w.scenesOf(o.frame, o.r, f.At.From.Place, shows)
		case f.Kind == circuits.Swapped:
			scenes = b.w.scenesOf(b.w.layout.Swapped(b.w.j.Meter, o.r, f), o.r, "", 0)
		}
		for k, s := range scenes {
			b.cases[i][k].Place(s, f)
		}
	}
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

// cell weighs one strip.
func (b *bench) cell(f circuits.Single, c *cell) {
	w := b.w
	n := len(w.obs)
	ohms, width := math.Exp(c.logOhms), c.width
	if !f.Kind.TakesOhms() {
		ohms, b.wrongWidth = 0, width
	}
	c.mean, c.miss = b.floats(n), b.floats(n)
	c.bend, c.logL = 0, 0
	clear(b.bends)
	for i := range n {
		b.first(i, ohms, c)
	}
	if b.hopeless(c) {
		return
	}
	for i := range n {
		b.others(i, ohms, c)
	}
	b.components()
	c.logL = 0
	for part := range n {
		b.member = b.member[:0]
		for i := range n {
			if b.part[i] == part {
				b.member = append(b.member, i)
			}
		}
		if len(b.member) > 0 {
			c.logL += b.component(c)
		}
	}
	for i := range n { // a reading that is taken for a misreading gains nothing by a finer strip
		c.bend = max(c.bend, b.bends[i]*(1-c.miss[i]))
	}
}

// component is the logarithm of the likelihood of the observations in b.member.
func (b *bench) component(c *cell) float64 {
	count := 1
	for _, i := range b.member {
		count = max(count, b.uses[i])
	}
	b.terms = b.terms[:0]
	total := math.Inf(-1)
	for len(b.means) < len(b.member)*count {
		b.means, b.misses = append(b.means, 0), append(b.misses, 0)
	}
	means, misses := b.means, b.misses
	for k := range count {
		l := b.scenario(c, k, means[k*len(b.member):(k+1)*len(b.member)], misses[k*len(b.member):(k+1)*len(b.member)])
		b.terms = append(b.terms, l)
		total = logAdd(total, l)
	}
	for m, i := range b.member {
		weight, mean := 0.0, 0.0
		for k, l := range b.terms {
			share := math.Exp(l - total)
			if math.IsInf(total, -1) {
				share = 1 / float64(count)
			}
			c.miss[i] += share * misses[k*len(b.member)+m]
			if v := means[k*len(b.member)+m]; !math.IsNaN(v) {
				weight += share
				mean += share * v
			}
		}
		c.mean[i] = math.NaN()
		if weight > 0.5 {
			c.mean[i] = mean / weight
		}
	}
	return total - math.Log(float64(count))
}
