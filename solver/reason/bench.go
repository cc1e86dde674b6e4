package reason

import (
	"math"
	"sort"

	"ohmtrail/circuits"
	"ohmtrail/solver/network"
)

// bench is one worker's set of buffers for weighing hypotheses.
type bench struct {
	w      *weigher
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

func newBench(w *weigher) *bench {
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

const (
	// refineShare is the share of a hypothesis above which a strip is cut finer, while a prediction changes by more than
	// refineBend of its own standard deviations across it.
	refineShare = 0.03
	refineBend  = 2
	refineParts = 3
	// coarseGap is how far below the best evidence, in logarithm, a hypothesis's may be before its strips stay coarse.
	coarseGap   = 7
	refineDepth = 6
	// refineAtOnce is the most strips cut at a time: after each round a hypothesis that has fallen behind is left alone.
	refineAtOnce = 4
)

// coarse fills in a hypothesis's strips as they are. A fault without strips is done with then: to place it again would
// be to build another network, for two ways changed over.
func (b *bench) coarse(x *weighed) {
	f := x.h.Fault
	if f.Kind == circuits.Unlisted {
		x.cells = []cell{b.unlisted()}
		return
	}
	b.begin(x)
	x.cells = stripsOf(b.w.j.Circuit, f)
	x.unfelt = b.unfelt(f, x.cells)
	for i := range x.cells {
		if x.unfelt {
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
func (b *bench) fine(x *weighed) {
	f := x.h.Fault
	if x.finished {
		return
	}
	if f.Kind == circuits.Unlisted {
		b.w.codeEvidence(f, x.cells)
		return
	}
	b.prior = math.Log(x.h.Prior)
	if b.prior+x.total() > b.w.best.get()-b.w.coarse && !x.unfelt && (f.Kind.TakesOhms() || f.Words == circuits.ReadsWrong) {
		b.begin(x)
		for range refineDepth {
			if !b.refine(x) {
				break
			}
		}
	} else if !x.unfelt && x.lacksValue() {
		b.begin(x)
	}
	b.finish(x)
}

// finish adds what the codes say, unless that could only lower what is hopeless already, and why values are missing. The
// fault must be placed if a value is.
func (b *bench) finish(x *weighed) {
	if b.prior+x.total() > b.w.best.get()-b.w.hopeless {
		b.w.codeEvidence(x.h.Fault, x.cells)
	}
	x.finished = true
	x.why, x.overs = make([]string, len(b.w.obs)), make([]bool, len(b.w.obs))
	if x.lacksValue() {
		b.statuses(x)
	}
}

// lacksValue tells whether the best strip predicts no value for some observation.
func (x *weighed) lacksValue() bool {
	for _, m := range x.bestCell().mean {
		if math.IsNaN(m) {
			return true
		}
	}
	return false
}

// begin places a hypothesis's fault.
func (b *bench) begin(x *weighed) {
	f := x.h.Fault
	b.prior, b.wrong = math.Log(x.h.Prior), -1
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
	c.logL, c.mean, c.miss = other.logL, other.mean, other.miss
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
			b.cases[i][k].At(ohms, p)
			if p.Status != h.Status || p.Why != h.Why || p.Status == network.Fine && math.Abs(p.Value-h.Value) > unfeltShare*o.sigma {
				return false
			}
		}
	}
	return true
}

// refine cuts the strips that hold much of the hypothesis and predict too different readings at their ends.
func (b *bench) refine(x *weighed) bool {
	total := x.total()
	if b.w.off.position || b.prior+total < b.w.best.get()-b.w.coarse {
		return false
	}
	worth := b.worthSplitting(x.cells, total)
	if len(worth) == 0 {
		return false
	}
	out := make([]cell, 0, len(x.cells)+(refineParts-1)*len(worth))
	for i, c := range x.cells {
		if !worth[i] {
			out = append(out, c)
			continue
		}
		for _, part := range c.split(refineParts) {
			b.evaluate(x.h.Fault, &part)
			out = append(out, part)
		}
	}
	x.cells = out
	return true
}

// worthSplitting picks the strips to cut: those that hold most, or lie beside one that does (a peak between two middles
// shows in neither alone), and predict too different readings at their ends.
func (b *bench) worthSplitting(cells []cell, total float64) map[int]bool {
	type share struct {
		at   int
		near float64
	}
	var shares []share
	for i, c := range cells {
		near := c.logPrior + c.logL
		for _, k := range []int{i - 1, i + 1} {
			if k >= 0 && k < len(cells) {
				near = max(near, cells[k].logPrior+cells[k].logL-2)
			}
		}
		if near-total >= math.Log(refineShare) && c.bend >= refineBend && c.width > 0 {
			shares = append(shares, share{i, near})
		}
	}
	sort.SliceStable(shares, func(i, j int) bool { return shares[i].near > shares[j].near })
	worth := map[int]bool{}
	for _, s := range shares[:min(len(shares), refineAtOnce)] {
		worth[s.at] = true
	}
	return worth
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

// first predicts an observation in the first scenario and sees whether an unknown stimulus matters to it.
func (b *bench) first(i int, ohms float64, c *cell) {
	o := &b.w.obs[i]
	preds := b.preds[i]
	b.cases[i][0].At(ohms, &preds[0])
	b.uses[i] = 1
	clear(b.wide[i])
	if len(preds) > 1 {
		matters := b.widen(o, i, 0)
		if !matters && (b.w.scen.two || preds[0].Status != network.Fine) {
			b.cases[i][1].At(ohms, &preds[1])
			matters = preds[1].Status != preds[0].Status || math.Abs(preds[1].Value-preds[0].Value) > 0.3*o.sigma
		}
		if matters {
			b.uses[i] = len(preds)
		}
	}
	b.bend(i, 0, c)
}

// widen marks the unknown stimuli that matter to an observation in a scenario.
func (b *bench) widen(o *observation, i, k int) bool {
	p := &b.preds[i][k]
	if p.Status != network.Fine {
		return false
	}
	any := false
	for q := range b.w.parameters {
		if b.unknown(o, q) && math.Abs(p.Sens[q])*b.w.scen.span[q] > 0.5*o.sigma {
			b.wide[i][q], any = true, true
		}
	}
	return any
}

// bend notes how much a prediction changes across a strip.
func (b *bench) bend(i, k int, c *cell) {
	p := &b.preds[i][k]
	if p.Status != network.Fine {
		return
	}
	slope := p.Slope
	if b.wrong >= 0 {
		slope = p.Sens[b.wrong]
	}
	b.bends[i] = max(b.bends[i], math.Abs(slope)*c.width/b.w.obs[i].sigma)
}

// hopelessGap is how far below the best evidence, in logarithm, a strip's may be before the rest of it is left out.
const hopelessGap = 17

// hopeless weighs the observations that no unknown stimulus moves, and tells whether they alone rule the strip out; its
// likelihood is then at most that.
func (b *bench) hopeless(c *cell) bool {
	b.member = b.member[:0]
	for i := range b.w.obs {
		if b.uses[i] == 1 {
			b.member = append(b.member, i)
		}
	}
	if len(b.member) == 0 || len(b.member) == len(b.w.obs) {
		return false
	}
	bound := b.component(c)
	best := b.w.best.get()
	for i := range b.w.obs {
		if b.uses[i] > 1 {
			bound += math.Log(2 / b.w.obs[i].sigma) // no density is higher
			c.mean[i] = math.NaN()
			if p := &b.preds[i][0]; p.Status == network.Fine {
				c.mean[i] = p.Value
			}
		}
	}
	if b.prior+bound > best-b.w.hopeless {
		for i := range c.miss {
			c.miss[i] = 0
		}
		return false
	}
	c.logL = bound
	return true
}

// others predicts an observation in the scenarios beside the first, where a stimulus matters.
func (b *bench) others(i int, ohms float64, c *cell) {
	o := &b.w.obs[i]
	for k := 1; k < b.uses[i]; k++ {
		b.cases[i][k].At(ohms, &b.preds[i][k])
		b.widen(o, i, k)
		b.bend(i, k, c)
	}
}

// unknown tells whether a parameter is a stimulus that nobody knows at an observation.
func (b *bench) unknown(o *observation, p int) bool {
	return b.w.scen.span[p] > 0 && !o.known[p] && p != b.wrong
}

// stimulusOf is the parameter of a device's stimulus, -1 where it has none.
func (w *weigher) stimulusOf(device string) int {
	for i, p := range w.parameters {
		if p.Kind == network.Stimulus && p.Place.Place == device {
			return i
		}
	}
	return -1
}

// leansOn tells whether a device's stimulus matters to an observation of the healthy circuit at all.
func (w *weigher) leansOn(o *observation, device string) bool {
	q := w.stimulusOf(device)
	if q < 0 {
		return true // a switch: its two states are tried
	}
	d := w.j.Circuit.Device(device)
	for k := range o.healthy {
		p := &o.healthy[k]
		if p.Status != network.Fine || math.Abs(p.Sens[q])*(d.Range[1]-d.Range[0]) > unfeltShare*o.sigma {
			return true
		}
	}
	return false
}

// components groups the observations that share an unknown stimulus which matters to both; those that lean on none
// form one group, in which tolerances keep them correlated.
func (b *bench) components() {
	n := len(b.w.obs)
	steady := -1
	for i := range n {
		b.part[i] = i
		if b.uses[i] == 1 {
			if steady < 0 {
				steady = i
			}
			b.part[i] = steady
		}
	}
	for i := range n {
		for j := range i {
			if b.part[i] != b.part[j] && b.uses[i] > 1 && b.uses[j] > 1 && b.shareStimulus(i, j) {
				from, to := max(b.part[i], b.part[j]), min(b.part[i], b.part[j])
				for k := range n {
					if b.part[k] == from {
						b.part[k] = to
					}
				}
			}
		}
	}
}

func (b *bench) shareStimulus(i, j int) bool {
	any := false
	for p := range b.w.parameters {
		if b.wide[i][p] && b.wide[j][p] {
			return true
		}
		any = any || b.wide[i][p] || b.wide[j][p]
	}
	return b.w.scen.two && !any
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
