package evidence

import (
	"math"

	"ohmtrail/circuits"
	"ohmtrail/solver/hypothesis"
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

// opensFully is the share of times at which a joint of high resistance that comes and goes parts altogether (ours): a loose
// contact that reads half an ohm reads OL when it is moved.
const opensFully = 0.2

func opens(f circuits.Single) bool { return f.Kind == circuits.HighResistance }

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

// byTurns weighs a fault of a job whose symptom comes and goes. The strips' logL then holds the whole evidence, shared out
// as the readings at which the fault showed speak for each resistance.
func (b *bench) byTurns(x *Weighed) {
	l := b.look(x)
	n := len(b.w.obs)
	count := scenarioCount
	prior := make([]float64, len(x.cells))
	for c := range prior {
		prior[c] = math.Exp(x.cells[c].logPrior)
	}
	if opens(x.Fault) {
		for c := range prior {
			prior[c] *= 1 - opensFully
		}
		prior = append(prior, opensFully)
	}
	x.felt = b.feltByTurns(l, prior)
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
func (b *bench) look(x *Weighed) looks {
	w := b.w
	n, count := len(w.obs), scenarioCount
	l := looks{turns: make([][]turn, n), leading: make([]int, n)}
	strength := make([]float64, n)
	for i := range n {
		o := &w.obs[i]
		l.turns[i] = make([]turn, count)
		l.leading[i], strength[i] = o.wellLeading(w)
		for k := range count {
			l.turns[i][k] = b.sound(i, k, l.leading[i], len(x.cells)+1)
		}
	}
	for c := range x.cells {
		s := &x.cells[c]
		if byStrip(x.Fault) {
			b.place(s.placed(x.Fault))
		}
		b.lookAt(&l, strength, s.ohms(x.Fault), s)
	}
	if opens(x.Fault) {
		b.place(circuits.Single{Kind: circuits.Open, At: x.Fault.At})
		b.lookAt(&l, strength, 0, &cell{})
		b.place(x.Fault)
	}
	return l
}

// lookAt predicts every observation at one strip of the fault that is placed.
func (b *bench) lookAt(l *looks, strength []float64, ohms float64, s *cell) {
	for i := range b.w.obs {
		b.first(i, ohms, s)
		b.others(i, ohms, s)
		leading := b.leadingStimulus(i)
		if by := b.moves(i, leading); b.trays[i].uses > 1 && (by > strength[i] || l.leading[i] == -1) {
			strength[i], l.leading[i] = by, leading
			if leading < 0 {
				l.leading[i] = switches
			}
		}
		for k := range l.turns[i] {
			b.turnAt(&l.turns[i][k], i, min(k+1, b.trays[i].uses-1), leading, s.width)
		}
	}
}

// feltByTurns is, by observation, the share of a fault's strips that move the value away from the sound one by more than the
// meter's error.
func (b *bench) feltByTurns(l looks, prior []float64) []float64 {
	out := make([]float64, len(l.turns))
	for i, turns := range l.turns {
		for _, t := range turns {
			for c, p := range prior {
				if math.IsNaN(t.mean[c]) != math.IsNaN(t.well) || math.Abs(t.mean[c]-t.well) > Apart*b.w.obs[i].sigma {
					out[i] += p / float64(len(turns))
				}
			}
		}
	}
	return out
}

// moves is how far a stimulus moves an observation over its range, in standard deviations.
func (b *bench) moves(i, leading int) float64 {
	most := 0.0
	if leading < 0 {
		return 0
	}
	for k := range b.trays[i].uses {
		if p := &b.trays[i].preds[k]; p.Status == network.Fine {
			most = max(most, math.Abs(change(p, leading))*b.w.span(leading)/b.w.obs[i].sigma)
		}
	}
	return most
}

// switches stands for an unknown switch among the stimuli that lead: its states are tried one by one.
const switches = -2

// wellLeading is the unknown stimulus that moves the sound value of an observation most, and by how many standard
// deviations over its range; -1 for none, switches where only an unknown switch moves it.
func (o *observation) wellLeading(w *Scales) (leading int, by float64) {
	leading = -1
	for q := range w.parameters {
		for k := range o.healthy {
			p := &o.healthy[k]
			if w.scen.span[q] == 0 || !o.leansOn(w, q) || p.Status != network.Fine {
				continue
			}
			if m := math.Abs(change(p, q)) * w.scen.span[q] / o.sigma; m > 0.5 && m > by {
				leading, by = q, m
			}
		}
	}
	for k := range o.healthy {
		p, first := &o.healthy[k], &o.healthy[0]
		if leading == -1 && w.scen.two && (p.Status != first.Status || p.Status == network.Fine && math.Abs(p.Value-first.Value) > 0.3*o.sigma) {
			leading = switches
		}
	}
	return leading, by
}

// sound begins a turn with what the observation is with the fault away.
func (b *bench) sound(i, k, leading, strips int) turn {
	w := b.w
	o := &w.obs[i]
	room := make([]float64, 0, 3*strips)
	t := turn{low: room[0:0:strips], high: room[strips : strips : 2*strips], mean: room[2*strips : 2*strips : 3*strips], well: math.NaN()}
	healthy := &o.healthy[min(k+1, len(o.healthy)-1)]
	best := -1.0
	for _, calibrated := range ways {
		sound, spread := *healthy, 0.0
		if healthy.Status == network.Fine {
			for _, l := range healthy.Leans {
				q, s := int(l.Parameter), l.Change // what the scenario does not set lies around the middle of its range
				if q != leading && w.scen.span[q] > 0 && o.leansOn(w, q) {
					sound.Value += s * (w.scen.mid[q] - w.scen.sets[k][w.scen.parts[q]])
				}
			}
			shift, sd := w.numbers(&b.scratch, i, healthy, calibrated)
			sound.Value += shift
			spread = math.Hypot(sd, o.stimulusSD(w, healthy, leading))
		}
		low := o.density(o.value, o.ol, &sound, math.Hypot(o.sigma, spread), w.j.Meter.MaxOhms)
		if healthy.Status == network.Fine && low > best {
			t.well, best = sound.Value, low
		}
		t.wellLow += low / float64(len(ways))
		if o.pair {
			t.wellHigh += o.density(o.high, o.r.OL, &sound, math.Hypot(o.sigmaHigh, spread), w.j.Meter.MaxOhms) / float64(len(ways))
		}
	}
	return t
}

// ways are those in which an observation is predicted: with the machine's numbers as the other readings have them, and with those of any machine.
var ways = [2]bool{true, false}

// turnAt adds a strip's densities to a turn.
func (b *bench) turnAt(t *turn, i, k, leading int, width float64) {
	o := &b.w.obs[i]
	p := b.trays[i].preds[k]
	mean, low, high, best := math.NaN(), 0.0, 0.0, -1.0
	for _, calibrated := range ways {
		at, variance := p, o.sigma*o.sigma
		if p.Status == network.Fine {
			at.Value, variance = b.spread(i, k, leading, width, calibrated)
		}
		density := o.density(o.value, o.ol, &at, math.Sqrt(variance), b.w.j.Meter.MaxOhms)
		if p.Status == network.Fine && density > best {
			mean, best = at.Value, density
		}
		low += density / float64(len(ways))
		if o.pair {
			high += o.density(o.high, o.r.OL, &at, math.Sqrt(variance-sq(o.sigma)+sq(o.sigmaHigh)), b.w.j.Meter.MaxOhms) / float64(len(ways))
		}
	}
	t.mean, t.low, t.high = append(t.mean, mean), append(t.low, low), append(t.high, high)
}

// stimulusSD is the spread of a sound prediction from the unknown stimuli that its scenario does not set.
func (o *observation) stimulusSD(w *Scales, p *network.Prediction, leading int) float64 {
	sum := 0.0
	for q := range w.parameters {
		switch {
		case w.scen.span[q] == 0 || !o.leansOn(w, q):
		case q == leading:
			sum += sq(change(p, q) * kernel * w.scen.span[q] / float64(len(w.scen.sets)))
		default:
			sum += sq(change(p, q) * uniformSD(w.scen.span[q]))
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
func (b *bench) seen(x *Weighed, t *turn, i int, prior []float64, duty float64) seeing {
	o := &b.w.obs[i]
	low, high := 0.0, 0.0
	for c, p := range prior {
		low += p * t.low[c]
		high += p * t.high[c]
	}
	m := b.w.misread(o)
	if o.pair {
		broad := o.broad(o.value) * o.broadHigh()
		if hypothesis.Steady(x.Fault) {
			return seeing{both: (1 - m) * low * high, misread: m * broad}
		}
		one := (1 - bothFaulty) / 2
		return seeing{fault: (1 - m) * one * low * t.wellHigh, well: (1 - m) * one * t.wellLow * high, both: (1 - m) * bothFaulty * low * high, misread: m * broad}
	}
	there := duty
	switch {
	case hypothesis.Steady(x.Fault) || o.r.Symptom == circuits.SymptomThere:
		there = 1
	case o.r.Symptom == circuits.SymptomAway:
		there = 0
	}
	return seeing{fault: (1 - m) * there * low, well: (1 - m) * (1 - there) * t.wellLow, misread: m * o.broad(o.value)}
}
