package evidence

import (
	"math"

	"ohmtrail/circuits"
	"ohmtrail/solver/network"
)

// Whether the straight laws hold where the readings put the machine's own numbers. A number that is known to a factor of ten may
// be made to explain anything along a straight line: a short across the battery "explains" 15.9 V by a source resistance below
// nothing. So where those numbers do real work, the network is solved again with them as the readings would have them; where it
// disagrees with the straight law, the law is drawn anew there.

const (
	// hardWork is how many standard deviations of a reading the machine's numbers must move it by for their law to be looked at.
	hardWork = 4
	// bent is the distance, in standard deviations of a reading, from which on the straight law is wrong.
	bent = 1.5
	// littleBent is what a reading's law may be off, in its standard deviations, for it to be believed.
	littleBent = 0.3
	// straightenSteps bounds the laws drawn anew.
	straightenSteps = 4
	// straightenGap is how far below the evidence of all hypotheses together, in logarithm, a strip's may be for its laws to be looked
	// at: what lies further below leads nowhere, and looking could only lower it.
	straightenGap = 5
)

// widthEnd is the end of a width in standard deviations of the even spread.
var widthEnd = math.Sqrt(3)

// stripEnd is the end of a strip in standard deviations of its kernel.
const stripEnd = 0.5 / kernel

// deviation is by how many standard deviations a number of the machine stands off its nominal value in the network looked at.
func (b *bench) deviation(q int) float64 {
	if b.off == nil {
		return b.w.stands(q)
	}
	return b.off[q]
}

// straighten draws the laws anew where the readings put the machine's numbers, if they do not hold there.
func (b *bench) straighten(l *laid, f circuits.Single, ohms, width float64) {
	w := b.w
	if w.off.Tolerances || len(l.members) == 0 || !b.worksHard(l) {
		return
	}
	defer func() { b.off, b.offMiddle = nil, 0 }()
	nominal := make([]float64, len(w.parameters))
	copy(nominal, w.baseOff)
	drawn := make([][]float64, len(l.members)) // where each member's law was drawn
	for x := range drawn {
		drawn[x] = nominal
	}
	from := nominal
	as := make([]float64, len(l.members)) // what the network says with the numbers where the readings put them
	for range straightenSteps {
		to := b.numbersOf(l)
		numbers := make(network.Settings, len(w.parameters))
		for q, p := range w.parameters {
			if numbers[q] = math.NaN(); to[q] != 0 {
				numbers[q] = min(max(p.Moved(p.Nominal, to[q]), p.Low), p.High)
			}
		}
		position := min(max(b.pulled(l, w.positionColumn()), -stripEnd), stripEnd)
		moved := position - b.offMiddle
		b.off, b.offMiddle = to, position
		far := 0.0
		for x, i := range l.members {
			o, r := &w.obs[i], &l.rows[x]
			along := l.value[x] - r.shift + r.of(w.positionColumn())*position
			bent := sq(moved) * math.Abs(r.of(w.positionColumn())) * kernel * width / 2
			for k, c := range r.column {
				if int(c) < len(w.parameters) {
					step := r.by[k] * (to[c] - drawn[x][c])
					along += step
					bent += math.Abs(step*(to[c]-drawn[x][c])) * w.curve[c] / 2 // of a law by logarithms
				}
			}
			if o.sound || bent < littleBent*o.sigma { // the straight law does; the machine beside it has its own wires
				as[x] = along + b.fromMiddle(r, l.at)
				continue
			}
			b.put(&l.moved[i], o.frame.SceneOf(b.settings(o, l.at), numbers), i, f)
			l.cases[x] = &l.moved[i]
			l.moved[i].LeaningTo(ohms*math.Exp(position*kernel*width), b.asked(r), &b.pred)
			if b.pred.Status != network.Fine {
				return
			}
			as[x] = b.pred.Value
			value, own := b.lean(r, o, &b.pred, l.at, width)
			far = max(far, math.Abs(value-r.shift+r.of(w.positionColumn())*position-along)/o.sigma)
			l.value[x], l.own[x] = value, own
			drawn[x] = to
		}
		b.weighLaid(l)
		if far < bent {
			return
		}
		from = to
	}
	l.logL = min(l.logL, b.atItsWord(l, as, from))
}

// fromMiddle is what a member's value changes from where the unknown stimuli were thought to be to where they are.
func (b *bench) fromMiddle(r *row, at []float64) float64 {
	sum, first := 0.0, b.w.unknownColumn(0)
	for n, c := range r.column[r.numbers:] {
		if k := int(c) - first; k < len(b.w.unknowns) {
			u := &b.w.unknowns[k]
			sum += r.by[r.numbers+n] / u.sd() * (at[k] - u.mid())
		}
	}
	return sum
}

// atItsWord is the likelihood of readings that no straight law explains: by what the network says where the numbers were put, and
// how far off that is for them.
func (b *bench) atItsWord(l *laid, as, numbers []float64) float64 {
	sum := 0.0
	for x, i := range l.members {
		o := &b.w.obs[i]
		m := b.w.misread(o)
		sum += math.Log((1-m)*normal(o.value, as[x], 2*o.sigma) + m*o.broad(o.value))
	}
	for q, z := range numbers {
		if z != 0 {
			sum -= sq(z-b.w.offset[q]) / 2
		}
	}
	return sum
}

// worksHard tells whether the machine's own numbers move a member by much, for the readings to be explained.
func (b *bench) worksHard(l *laid) bool {
	for x, i := range l.members {
		r, sum := &l.rows[x], 0.0
		for k, c := range r.column[:r.numbers] {
			if int(c) < len(b.w.parameters) {
				sum += r.by[k] * b.pulled(l, int(c))
			}
		}
		sum += r.of(b.w.positionColumn()) * b.pulled(l, b.w.positionColumn())
		if math.Abs(sum) > hardWork*b.w.obs[i].sigma {
			return true
		}
	}
	return false
}

// pulled is by how many standard deviations the believed readings pull a column.
func (b *bench) pulled(l *laid, column int) float64 {
	sum := 0.0
	for x := range l.members {
		sum += l.rows[x].of(column) * l.joint.pull[x]
	}
	return sum
}

// numbersOf are the machine's numbers where the readings put them, within their widths, in standard deviations from nominal.
func (b *bench) numbersOf(l *laid) []float64 {
	out := make([]float64, len(b.w.parameters))
	for x := range l.members {
		for _, c := range l.rows[x].column[:l.rows[x].numbers] {
			if q := int(c); q < len(out) && out[q] == 0 {
				out[q] = b.w.offset[q] + min(max(b.pulled(l, q), -widthEnd), widthEnd)
			}
		}
	}
	return out
}

// beyond is the logarithm of the share of what the readings say of the machine's numbers that lies within their widths: the
// Gaussian that stands for an even spread reaches beyond its ends, and no machine does.
func (b *bench) beyond(l *laid) float64 {
	sum := 0.0
	seen := map[int32]bool{}
	for x := range l.members {
		for _, c := range l.rows[x].column[:l.rows[x].numbers] {
			if int(c) >= len(b.w.parameters) || seen[c] {
				continue
			}
			seen[c] = true
			if mean, sd := l.ofParameter(int(c)); math.Abs(mean) > 0.8*widthEnd {
				within := above(-widthEnd, mean, sd) - above(widthEnd, mean, sd)
				told := 1 - sq(sd)
				sum += math.Log(max(within, 1e-6) / ((1-told)*evenWithin + told))
			}
		}
	}
	return sum
}
