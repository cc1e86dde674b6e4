package evidence

import "math"

// joint is a Gaussian over several readings with a possible misreading of up to two of them.
type joint struct {
	n     int
	cov   []float64 // n×n, row by row; overwritten by its inverse
	keep  []float64 // the covariance as it was
	gap   []float64 // value read − value predicted
	work  []float64
	terms []float64
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
	g.cov, g.gap, g.work = grow(g.cov, n*n), grow(g.gap, n), grow(g.work, 2*n)
	g.share, g.broad = grow(g.share, n), grow(g.broad, n)
	g.keep = grow(g.keep, n*n)
	clear(g.cov)
}

// invert turns the covariance into its inverse (Gauss–Jordan on a symmetric positive definite matrix, which needs no
// pivoting) and gives the logarithm of its determinant.
func (g *joint) invert() float64 {
	n, a, det := g.n, g.cov, 0.0
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
	copy(g.keep, g.cov)
	det := g.invert()
	w := g.work[:n]
	quadratic := 0.0
	for i := range n {
		sum := 0.0
		for j := range n {
			sum += g.cov[i*n+j] * g.gap[j]
		}
		w[i] = sum
		quadratic += sum * g.gap[i]
	}
	all := -0.5 * (quadratic + det + float64(n)*logTwoPi)
	for i := range n {
		all += math.Log1p(-g.share[i])
	}
	odds := g.work[n : 2*n] // logarithm of share/(1−share)·broad
	for i := range n {
		odds[i] = math.Log(g.share[i]/(1-g.share[i])) + math.Log(g.broad[i])
	}
	// Terms are relative to all readings being good: one for each reading misread, then one for each pair.
	g.terms = g.terms[:0]
	top := 0.0
	for i := range n {
		l := g.cov[i*n+i]
		t := odds[i] + 0.5*(w[i]*w[i]/l-math.Log(l)+logTwoPi)
		g.terms = append(g.terms, t)
		top = max(top, t)
	}
	for i := range n {
		for j := range i {
			a, b, c := g.cov[i*n+i], g.cov[j*n+j], g.cov[i*n+j]
			d := a*b - c*c
			t := math.Inf(-1)
			if q := (b*w[i]*w[i] - 2*c*w[i]*w[j] + a*w[j]*w[j]) / d; odds[i]+odds[j]+0.5*q > top-60 {
				t = odds[i] + odds[j] + 0.5*(q-math.Log(d)+2*logTwoPi)
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

// smooth gives in out how far off its prediction each reading's true value is reckoned to be once all readings are
// known: the covariance of the true values times the weighted gaps. noise are the variances of the meter's own errors;
// readings that are more likely misread than not count for nothing. log must have been called before.
func (g *joint) smooth(noise, miss, out []float64) {
	n := g.n
	copy(g.cov, g.keep)
	dropped := false
	for i := range n {
		if miss[i] > 0.5 {
			g.cov[i*n+i] += 1e9 * g.keep[i*n+i]
			dropped = true
		}
	}
	w := g.work[:n]
	if dropped {
		g.invert()
		for i := range n {
			w[i] = 0
			for j := range n {
				w[i] += g.cov[i*n+j] * g.gap[j]
			}
		}
	}
	for i := range n {
		out[i] = -noise[i] * w[i]
		for j := range n {
			out[i] += g.keep[i*n+j] * w[j]
		}
	}
}
