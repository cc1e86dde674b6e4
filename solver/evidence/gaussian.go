package evidence

import "math"

// joint is a Gaussian over several readings with a possible misreading of up to two of them.
type joint struct {
	n         int
	cov       []float64 // n×n, row by row
	precision []float64 // after log or condition: its inverse
	gap       []float64 // value read − value predicted
	pull      []float64 // after log or condition: precision × gap
	odds      []float64
	terms     []float64
	// misread prior and broad density of each reading
	share, broad []float64
}

// resize makes room for n readings and clears the covariance.
func (g *joint) resize(n int) {
	g.n = n
	grow := func(s []float64, n int) []float64 {
		if cap(s) < n {
			return make([]float64, n, 2*n)
		}
		return s[:n]
	}
	g.cov, g.precision = grow(g.cov, n*n), grow(g.precision, n*n)
	g.gap, g.pull, g.odds = grow(g.gap, n), grow(g.pull, n), grow(g.odds, n)
	g.share, g.broad = grow(g.share, n), grow(g.broad, n)
	clear(g.cov)
}

// invert puts the inverse of the covariance into g.precision (Gauss–Jordan on a symmetric positive definite matrix, which
// needs no pivoting), the weighted gaps into g.pull, and gives the logarithm of the determinant.
func (g *joint) invert() float64 {
	n, a, det := g.n, g.precision, 0.0
	copy(a, g.cov)
	for k := range n {
		p := a[k*n+k]
		det += math.Log(p)
		a[k*n+k] = 1
		for j := range n {
			a[k*n+j] /= p
		}
		for i := range n {
			if i == k {
				continue
			}
			f := a[i*n+k]
			a[i*n+k] = 0
			for j := range n {
				a[i*n+j] -= f * a[k*n+j]
			}
		}
	}
	for i := range n {
		g.pull[i] = 0
		for j := range n {
			g.pull[i] += a[i*n+j] * g.gap[j]
		}
	}
	return det
}

const logTwoPi = 1.8378770664093453

// log gives the logarithm of the mixture's density and, in miss, the share of it in which each reading is misread.
//
// With the precision Λ and the weighted gaps w = Λ·gap, the density without reading i follows from the whole one:
// y_i given the others is normal with variance 1/Λ_ii and its value lies w_i/Λ_ii off; likewise for two readings with
// the 2×2 block of Λ.
func (g *joint) log(miss []float64) float64 {
	n := g.n
	if n == 0 {
		return 0
	}
	det := g.invert()
	w, quadratic := g.pull, 0.0
	for i := range n {
		quadratic += w[i] * g.gap[i]
	}
	all := -0.5 * (quadratic + det + float64(n)*logTwoPi)
	for i := range n {
		all += math.Log1p(-g.share[i])
		g.odds[i] = math.Log(g.share[i]/(1-g.share[i])) + math.Log(g.broad[i]) // of share/(1−share)·broad
	}
	// Terms are relative to all readings being good: one for each reading misread, then one for each pair.
	g.terms = g.terms[:0]
	top := 0.0
	for i := range n {
		l := g.precision[i*n+i]
		t := g.odds[i] + 0.5*(w[i]*w[i]/l-math.Log(l)+logTwoPi)
		g.terms = append(g.terms, t)
		top = max(top, t)
	}
	for i := range n {
		for j := range i {
			a, b, c := g.precision[i*n+i], g.precision[j*n+j], g.precision[i*n+j]
			d := a*b - c*c
			t := math.Inf(-1)
			if q := (b*w[i]*w[i] - 2*c*w[i]*w[j] + a*w[j]*w[j]) / d; g.odds[i]+g.odds[j]+0.5*q > top-60 {
				t = g.odds[i] + g.odds[j] + 0.5*(q-math.Log(d)+2*logTwoPi)
			}
			g.terms = append(g.terms, t)
			top = max(top, t)
		}
	}
	sum := math.Exp(-top)
	clear(miss[:n])
	const negligible = 20
	for i := range n {
		if g.terms[i] > top-negligible {
			e := math.Exp(g.terms[i] - top)
			sum += e
			miss[i] += e
		}
	}
	k := n
	for i := range n {
		for j := range i {
			if g.terms[k] > top-negligible {
				e := math.Exp(g.terms[k] - top)
				sum += e
				miss[i] += e
				miss[j] += e
			}
			k++
		}
	}
	for i := range n {
		miss[i] /= sum
	}
	return all + top + math.Log(sum)
}

// condition leaves in g.precision and g.pull what the readings come to that are to be believed: one that is likelier misread
// than not counts for nothing. log must have been called before.
func (g *joint) condition(miss []float64) {
	dropped := false
	for i := range g.n {
		if miss[i] > 0.5 {
			g.cov[i*g.n+i] *= 1 + 1e9
			dropped = true
		}
	}
	if dropped {
		g.invert()
	}
}

// outlying is the distance of a reading from what the others say of it, in standard deviations, from which on it is no part of what
// a fault predicts. A single one so far off counts as misread already; this is for faults that more than two readings contradict.
const outlying = 6

// contradicts gives the readings that a fault cannot explain: those beyond all that it could show by itself, or, where there is none,
// the one that is furthest off what the others leave.
func (g *joint) contradicts() (out []int) {
	worst, far := -1, float64(outlying)
	for i := range g.n {
		own := g.cov[i*g.n+i]
		if math.Abs(g.gap[i]) > outlying*math.Sqrt(own) {
			out = append(out, i)
		}
		if z := math.Abs(g.pull[i]) / math.Sqrt(g.precision[i*g.n+i]); z > far {
			worst, far = i, z
		}
	}
	if len(out) == 0 && worst >= 0 {
		out = append(out, worst)
	}
	return out
}

// distance is the sum of squares, in standard deviations, by which the readings that are believed lie off, and their number.
func (g *joint) distance(miss []float64) (squares float64, count int) {
	for i := range g.n {
		if miss[i] <= 0.5 {
			squares += g.pull[i] * g.gap[i]
			count++
		}
	}
	return squares, count
}
