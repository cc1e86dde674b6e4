package reason

import (
	"math"

	"ohmtrail/circuits"
	"ohmtrail/solver/network"
)

// Intermittent faults. The same place must explain healthy and faulty values by turns, so three things differ from a
// fault that is there: whether it was there is unknown at each reading (a duty, the share of the time), its resistance is
// free at each reading (a loose contact is never twice the same), and a code speaks of the worst that it ever was.

// duties are the shares of the time for which an intermittent fault is there, equally likely beforehand (ours). A clean
// look multiplies the odds by 1 − duty; as the duty is unknown, looks alone never clear a place.
var duties = [...]float64{0.02, 0.05, 0.1, 0.3, 0.6}

func meanDuty() float64 {
	sum := 0.0
	for _, d := range duties {
		sum += d
	}
	return sum / float64(len(duties))
}

// bothFaulty is the share of moving readings whose two ends are both faulty, at two resistances; in the others one end is
// the healthy value (ours).
const bothFaulty = 0.2

// turn is what one observation comes to in one scenario of the unknown stimuli.
type turn struct {
	low, high         []float64 // by strip: density of the value (of a moving reading: of its two ends) with the fault there
	mean              []float64 // by strip: the value predicted; NaN where there is none
	wellLow, wellHigh float64   // the same with the fault away
	well              float64   // the value predicted with the fault away
}

// looks are all turns of a fault: by observation and scenario.
type looks struct {
	turns   [][]turn
	leading []int // by observation: the unknown stimulus that moves it most, -1 for none, -2 for a switch
}

// steady tells whether a fault cannot come and go: two ways changed over stay so.
func steady(f circuits.Single) bool { return f.Kind == circuits.Swapped }

// byTurns weighs a fault of a job whose symptom comes and goes. The strips' logL then holds the whole evidence, shared out
// as the readings at which the fault showed speak for each resistance.
func (b *bench) byTurns(x *weighed) {
	l := b.look(x)
	n := len(b.w.obs)
	count := max(1, len(b.w.scen.sets))
	prior := make([]float64, len(x.cells))
	for c := range prior {
		prior[c] = math.Exp(x.cells[c].logPrior)
	}
	// The groups are the observations that one unknown stimulus moves; the rest stand alone.
	groups := map[int][]int{}
	var order []int
	for i := range n {
		g := l.leading[i]
		if g == -1 {
			g = -3 - i
		}
		if groups[g] == nil {
			order = append(order, g)
		}
		groups[g] = append(groups[g], i)
	}
	logs := make([]float64, len(duties))
	terms := make([][][]float64, len(duties)) // by duty, group and scenario
	for d := range duties {
		terms[d] = make([][]float64, len(order))
		for at, g := range order {
			sum := math.Inf(-1)
			for k := range count {
				term := -math.Log(float64(count))
				for _, i := range groups[g] {
					term += math.Log(b.seen(x, &l.turns[i][k], i, prior, duties[d]).all())
				}
				terms[d][at] = append(terms[d][at], term)
				sum = logAdd(sum, term)
			}
			logs[d] += sum
		}
		logs[d] -= math.Log(float64(len(duties)))
	}
	total := math.Inf(-1)
	for _, v := range logs {
		total = logAdd(total, v)
	}
	s := newShares(n, len(prior))
	for d := range duties {
		for at, g := range order {
			whole := math.Inf(-1)
			for _, v := range terms[d][at] {
				whole = logAdd(whole, v)
			}
			for k := range count {
				weight := math.Exp(logs[d] - total + terms[d][at][k] - whole)
				if weight < 1e-6 || math.IsNaN(weight) {
					continue
				}
				for _, i := range groups[g] {
					t := &l.turns[i][k]
					s.add(i, b.w.obs[i].pair, weight, b.seen(x, t, i, prior, duties[d]), t, prior)
				}
			}
		}
		x.duty += math.Exp(logs[d]-total) * duties[d]
	}
	s.conclude(x, total, prior)
}

// look predicts every observation at every strip of a fault.
func (b *bench) look(x *weighed) looks {
	w := b.w
	n, count := len(w.obs), max(1, len(w.scen.sets))
	l := looks{turns: make([][]turn, n), leading: make([]int, n)}
	strength := make([]float64, n)
	for i := range n {
		l.turns[i] = make([]turn, count)
		l.leading[i] = -1
	}
	for c := range x.cells {
		s := &x.cells[c]
		if x.h.Fault.Kind == circuits.DeviceInside && x.h.Fault.Words == circuits.ReadsWrong {
			b.place(x.h.Fault, s.logOhms)
		}
		ohms := math.Exp(s.logOhms)
		b.wrongWidth = 0
		if !x.h.Fault.Kind.TakesOhms() {
			ohms, b.wrongWidth = 0, s.width
		}
		for i := range n {
			b.first(i, ohms, s)
			b.others(i, ohms, s)
			b.member = append(b.member[:0], i)
			leading := b.leadingStimulus()
			if by := b.moves(i, leading); b.uses[i] > 1 && (by > strength[i] || l.leading[i] == -1) {
				strength[i], l.leading[i] = by, leading
				if leading < 0 {
					l.leading[i] = -2
				}
			}
			for k := range count {
				b.turnAt(&l.turns[i][k], i, min(k, b.uses[i]-1), leading, s.width, len(x.cells))
			}
		}
	}
	return l
}

// moves is how far a stimulus moves an observation over its range, in standard deviations.
func (b *bench) moves(i, leading int) float64 {
	most := 0.0
	if leading < 0 {
		return 0
	}
	for k := range b.uses[i] {
		if p := &b.preds[i][k]; p.Status == network.Fine {
			most = max(most, math.Abs(p.Sens[leading])*b.w.scen.span[leading]/b.w.obs[i].sigma)
		}
	}
	return most
}

// turnAt adds a strip's densities to a turn.
func (b *bench) turnAt(t *turn, i, k, leading int, width float64, strips int) {
	w := b.w
	o := &w.obs[i]
	if t.low == nil {
		room := make([]float64, 0, 3*strips)
		t.low, t.high, t.mean = room[0:0:strips], room[strips:strips:2*strips], room[2*strips:2*strips:3*strips]
		healthy := &o.healthy[min(k, len(o.healthy)-1)]
		sd := math.Hypot(o.sigma, w.toleranceSD(healthy))
		t.well = math.NaN()
		if healthy.Status == network.Fine {
			t.well = healthy.Value
			sd = math.Hypot(sd, b.stimulusSD(o, healthy, leading))
		}
		t.wellLow = o.density(o.value, o.ol, healthy, sd, w.j.Meter.MaxOhms)
		if o.pair {
			t.wellHigh = o.density(o.high, o.r.OL, healthy, sd, w.j.Meter.MaxOhms)
		}
	}
	p := b.preds[i][k]
	mean, sd := math.NaN(), o.sigma
	if p.Status == network.Fine {
		value, variance := b.spread(i, k, leading, width)
		mean, sd = value, math.Sqrt(variance)
		p.Value = value
	}
	t.mean = append(t.mean, mean)
	t.low = append(t.low, o.density(o.value, o.ol, &p, sd, w.j.Meter.MaxOhms))
	high := 0.0
	if o.pair {
		high = o.density(o.high, o.r.OL, &p, sd, w.j.Meter.MaxOhms)
	}
	t.high = append(t.high, high)
}

// stimulusSD is the spread of a healthy prediction from the unknown stimuli that its scenario does not set.
func (b *bench) stimulusSD(o *observation, p *network.Prediction, leading int) float64 {
	sum := 0.0
	for q := range b.w.parameters {
		if !b.unknown(o, q) {
			continue
		}
		if q == leading {
			sum += sq(p.Sens[q] * kernel * b.w.scen.span[q] / float64(len(b.w.scen.sets)))
		} else {
			sum += sq(p.Sens[q] * uniformSD(b.w.scen.span[q]))
		}
	}
	return math.Sqrt(sum)
}

// seeing parts the likelihood of an observation by how it came about.
type seeing struct {
	fault, well, both, misread float64 // there (of a moving reading: the low end), away (the high end faulty), both ends faulty
}

func (s seeing) all() float64 { return s.fault + s.well + s.both + s.misread }

// seen is the likelihood of one observation in one scenario at a duty, its resistance integrated out by itself.
func (b *bench) seen(x *weighed, t *turn, i int, prior []float64, duty float64) seeing {
	o := &b.w.obs[i]
	low, high := 0.0, 0.0
	for c, p := range prior {
		low += p * t.low[c]
		high += p * t.high[c]
	}
	m := b.w.misread(o)
	if o.pair {
		broad := o.broad(o.value) * o.broad(o.high)
		if steady(x.h.Fault) {
			return seeing{both: (1 - m) * low * high, misread: m * broad}
		}
		one := (1 - bothFaulty) / 2
		return seeing{fault: (1 - m) * one * low * t.wellHigh, well: (1 - m) * one * t.wellLow * high, both: (1 - m) * bothFaulty * low * high, misread: m * broad}
	}
	there := duty
	switch {
	case steady(x.h.Fault) || o.r.Symptom == circuits.SymptomThere:
		there = 1
	case o.r.Symptom == circuits.SymptomAway:
		there = 0
	}
	return seeing{fault: (1 - m) * there * low, well: (1 - m) * (1 - there) * t.wellLow, misread: m * o.broad(o.value)}
}
