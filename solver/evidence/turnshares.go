package evidence

import "math"

// shares gather what the observations say of a fault that comes and goes, over all duties and scenarios.
type shares struct {
	miss         []float64   // by observation: share in which it is misread
	weight, mean []float64   // the value predicted, and the weight behind it
	heavy, high  []float64   // likewise of a moving reading's upper end
	there        []float64   // share in which the fault was there
	strips       [][]float64 // by observation: what it says of the resistance
}

func newShares(n, strips int) *shares {
	s := &shares{miss: make([]float64, n), weight: make([]float64, n), mean: make([]float64, n), heavy: make([]float64, n), high: make([]float64, n), there: make([]float64, n), strips: make([][]float64, n)}
	for i := range s.strips {
		s.strips[i] = make([]float64, strips)
	}
	return s
}

// add counts one observation in one scenario at one duty.
func (s *shares) add(i int, pair bool, weight float64, v seeing, t *turn, prior []float64) {
	all := v.all()
	if all <= 0 {
		return
	}
	s.miss[i] += weight * v.misread / all
	low, high := weight*(v.fault+v.both)/all, weight*v.well/all // which end the fault made
	if pair {
		high += weight * v.both / all
		s.there[i] += weight * (all - v.misread) / all
	} else {
		high = 0
		s.there[i] += low
	}
	s.end(i, low, t.low, t.mean, prior, s.weight, s.mean)
	if pair {
		s.end(i, high, t.high, t.mean, prior, s.heavy, s.high)
		s.sound(weight*v.well/all, t.well, &s.weight[i], &s.mean[i])
		s.sound(weight*v.fault/all, t.well, &s.heavy[i], &s.high[i])
		return
	}
	s.sound(weight*v.well/all, t.well, &s.weight[i], &s.mean[i])
}

// end counts a value that the fault made: what each strip predicts, as the strip explains the value.
func (s *shares) end(i int, share float64, density, mean, prior, weight, sum []float64) {
	whole := 0.0
	for c, p := range prior {
		whole += p * density[c]
	}
	if share <= 0 || whole <= 0 {
		return
	}
	for c, p := range prior {
		part := share * p * density[c] / whole
		s.strips[i][c] += part
		if !math.IsNaN(mean[c]) {
			weight[i] += part
			sum[i] += part * mean[c]
		}
	}
}

// sound counts a value that the healthy circuit made.
func (s *shares) sound(share, value float64, weight, sum *float64) {
	if share > 0 && !math.IsNaN(value) {
		*weight += share
		*sum += share * value
	}
}

// conclude writes the strips of a hypothesis: the whole evidence, shared out by what the readings at which the fault
// showed say of its resistance, each as much as it tells.
func (s *shares) conclude(x *Weighed, total float64, prior []float64) {
	n := len(s.miss)
	mean, high := make([]float64, n), make([]float64, n)
	for i := range n {
		mean[i], high[i] = math.NaN(), math.NaN()
		if s.weight[i] > 0.45 {
			mean[i] = s.mean[i] / s.weight[i]
		}
		if s.heavy[i] > 0.45 {
			high[i] = s.high[i] / s.heavy[i]
		}
	}
	pool := make([]float64, len(x.cells))
	told := 0.0
	last := len(x.cells) - 1
	for i := range n {
		sum, bits := 0.0, 0.0
		for _, v := range s.strips[i] {
			sum += v
		}
		if sum <= 1e-9 {
			continue
		}
		for c, v := range s.strips[i] {
			if v > 0 {
				bits += v / sum * math.Log2(v/sum/prior[c])
			}
		}
		weight := bits * min(s.there[i], 1)
		for c, v := range s.strips[i] {
			pool[min(c, last)] += weight * v / sum // parted altogether counts as the highest resistance
		}
		told += weight
	}
	const little = 0.05 // bits: below it the readings say nothing of the resistance
	for c := range pool {
		own := math.Exp(x.cells[c].logPrior)
		if told < little {
			pool[c] = own
		} else {
			pool[c] = 0.999*pool[c]/told + 0.001*own
		}
	}
	for c := range x.cells {
		x.cells[c].logL = total + math.Log(pool[c]) - x.cells[c].logPrior
		x.cells[c].mean, x.cells[c].high, x.cells[c].miss, x.cells[c].bend = mean, high, s.miss, 0
	}
}
