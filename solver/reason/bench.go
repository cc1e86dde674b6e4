package reason

import (
	"math"

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
	shift  []float64
	member []int
	terms  []float64

	wrong      int     // parameter of the sensor that reads wrong, -1 for none
	wrongWidth float64 // width of the cell of stimuli that it shows
}

func newBench(w *weigher) *bench {
	n := len(w.obs)
	b := &bench{w: w, cases: make([][]network.Case, n), preds: make([][]network.Prediction, n), uses: make([]int, n), wide: make([][]bool, n),
		part: make([]int, n), sd: make([][]float64, n), wrong: -1}
	for i := range n {
		b.preds[i] = make([]network.Prediction, len(w.obs[i].scenes))
		b.wide[i] = make([]bool, len(w.parameters))
		b.sd[i] = make([]float64, len(w.parameters)+1)
	}
	return b
}

const (
	// refineShare is the share of a hypothesis above which a strip is cut finer, while a prediction changes by more than
	// refineBend of its own standard deviations across it.
	refineShare = 0.01
	refineBend  = 1.5
	refineParts = 4
	refineDepth = 5
)

// weigh fills in a hypothesis's cells.
func (b *bench) weigh(x *weighed) {
	f := x.h.Fault
	if f.Kind == circuits.Unlisted {
		x.cells = []cell{b.unlisted()}
		b.w.codeEvidence(f, x.cells)
		return
	}
	b.place(f, 0)
	x.cells = stripsOf(b.w.j.Circuit, f)
	wrong := f.Kind == circuits.DeviceInside && f.Words == circuits.ReadsWrong
	b.wrong = -1
	if wrong {
		b.wrong = b.w.stimulusOf(f.At.From.Place)
	}
	evaluate := func(c *cell) {
		if wrong {
			b.place(f, c.logOhms)
		}
		b.cell(f, c)
	}
	for i := range x.cells {
		evaluate(&x.cells[i])
	}
	if f.Kind.TakesOhms() || wrong {
		for range refineDepth {
			if !b.refine(x, evaluate) {
				break
			}
		}
	}
	b.w.codeEvidence(f, x.cells)
	x.why, x.overs = b.statuses(f, x.cells)
}

// refine cuts the strips that hold much of the hypothesis and predict too different readings at their ends.
func (b *bench) refine(x *weighed, evaluate func(*cell)) bool {
	total := math.Inf(-1)
	for _, c := range x.cells {
		total = logAdd(total, c.logPrior+c.logL)
	}
	var out []cell
	cut := false
	for i, c := range x.cells {
		near := c.logPrior + c.logL
		for _, k := range []int{i - 1, i + 1} { // a peak between two middles shows in neither alone
			if k >= 0 && k < len(x.cells) {
				near = max(near, x.cells[k].logPrior+x.cells[k].logL-2)
			}
		}
		if near-total < math.Log(refineShare) || c.bend < refineBend || c.width == 0 {
			out = append(out, c)
			continue
		}
		cut = true
		for _, part := range c.split(refineParts) {
			evaluate(&part)
			out = append(out, part)
		}
	}
	x.cells = out
	return cut
}

// place puts a fault into every scene.
func (b *bench) place(f circuits.Single, shows float64) {
	wrong := f.Kind == circuits.DeviceInside && f.Words == circuits.ReadsWrong
	for i := range b.w.obs {
		o := &b.w.obs[i]
		scenes := o.scenes
		if wrong {
			scenes = b.w.scenesOf(o.frame, o.r, f.At.From.Place, shows)
		}
		b.cases[i] = b.cases[i][:0]
		for _, s := range scenes {
			b.cases[i] = append(b.cases[i], s.Place(f))
		}
	}
}

// cell weighs one strip.
func (b *bench) cell(f circuits.Single, c *cell) {
	w := b.w
	n := len(w.obs)
	ohms, width := math.Exp(c.logOhms), c.width
	if !f.Kind.TakesOhms() {
		ohms, b.wrongWidth = 0, width
	}
	c.mean, c.miss = make([]float64, n), make([]float64, n)
	c.bend = 0
	for i := range n {
		b.predict(i, ohms, c)
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
}

// predict asks the scenes of one observation: the first, and the others where an unknown stimulus matters.
func (b *bench) predict(i int, ohms float64, c *cell) {
	o := &b.w.obs[i]
	preds := b.preds[i]
	b.cases[i][0].At(ohms, &preds[0])
	b.uses[i] = 1
	clear(b.wide[i])
	matters := false
	if len(preds) > 1 {
		for p := range b.w.parameters {
			if b.unknown(o, p) && preds[0].Status == network.Fine && math.Abs(preds[0].Sens[p])*b.w.scen.span[p] > 0.5*o.sigma {
				b.wide[i][p], matters = true, true
			}
		}
		if !matters && (b.w.scen.two || preds[0].Status != network.Fine) {
			b.cases[i][1].At(ohms, &preds[1])
			matters = preds[1].Status != preds[0].Status || math.Abs(preds[1].Value-preds[0].Value) > 0.3*o.sigma
		}
	}
	if matters {
		for k := 1; k < len(preds); k++ {
			b.cases[i][k].At(ohms, &preds[k])
			for p := range b.w.parameters {
				if b.unknown(o, p) && preds[k].Status == network.Fine && math.Abs(preds[k].Sens[p])*b.w.scen.span[p] > 0.5*o.sigma {
					b.wide[i][p] = true
				}
			}
		}
		b.uses[i] = len(preds)
	}
	for k := range b.uses[i] {
		if preds[k].Status == network.Fine {
			slope := preds[k].Slope
			if b.wrong >= 0 {
				slope = preds[k].Sens[b.wrong]
			}
			c.bend = max(c.bend, math.Abs(slope)*c.width/o.sigma)
		}
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
	means := make([]float64, len(b.member)*count)
	misses := make([]float64, len(b.member)*count)
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
