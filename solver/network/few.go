package network

// mostFew bounds the rows of a reduced circuit with a fault in it: the kept nodes, and the middles of two wires.
const mostFew = mostKept + 2

// few is a circuit of a few nodes, small enough to be solved from scratch for every resistance of a fault.
type few struct {
	n       int
	g       [mostFew * mostFew]float64 // as in a table: conductance to ground on the diagonal
	in      [mostFew]float64
	volts   [mostFew]float64
	weights [mostFew]float64
	parts   [mostFew]int8
	pivot   [mostFew]float64
}

// take copies a reduced circuit with some more nodes that nothing joins yet.
func (w *few) take(r *reduced, more int, silenced bool) {
	n := len(r.kept)
	w.n = n + more
	for i := range w.n {
		clear(w.g[i*mostFew : i*mostFew+w.n])
		w.in[i] = 0
		if i < n {
			copy(w.g[i*mostFew:], r.g[i*n:(i+1)*n])
			if !silenced {
				w.in[i] = r.in[i]
			}
		}
	}
}

// tie adds a conductance, and a current that its source drives from b to a.
func (w *few) tie(a, b int8, siemens, in float64) {
	if a == b {
		return
	}
	if a < 0 {
		a, b, in = b, a, -in
	}
	w.in[a] += in
	if b < 0 {
		w.g[int(a)*mostFew+int(a)] += siemens
		return
	}
	w.in[b] -= in
	w.g[int(a)*mostFew+int(b)] += siemens
	w.g[int(b)*mostFew+int(a)] += siemens
}

// findParts numbers the parts that conductances join; −1 is the one with a path to B-.
func (w *few) findParts() {
	for i := range w.n {
		w.parts[i] = int8(i)
		if w.g[i*mostFew+i] != 0 {
			w.parts[i] = -1
		}
	}
	for changed := true; changed; {
		changed = false
		for i := range w.n {
			for j := range w.n {
				if i != j && w.g[i*mostFew+j] != 0 && w.parts[i] != w.parts[j] {
					part := min(w.parts[i], w.parts[j])
					w.parts[i], w.parts[j], changed = part, part, true
				}
			}
		}
	}
}

func (w *few) island(i int8) int8 {
	if i < 0 {
		return -1
	}
	return w.parts[i]
}

// solve eliminates the nodes one by one, with additions only, and finds the voltages. The table then holds the shares.
func (w *few) solve() {
	n := w.n
	for k := range n {
		row := w.g[k*mostFew : k*mostFew+n]
		pivot := 0.0
		for _, g := range row[k:] {
			pivot += g
		}
		w.pivot[k] = pivot
		if pivot == 0 {
			continue
		}
		inverse := 1 / pivot
		for i := k + 1; i < n; i++ {
			to := w.g[i*mostFew : i*mostFew+n]
			share := to[k] * inverse
			to[k] = share
			if share == 0 {
				continue
			}
			diagonal := to[i] + share*row[k]
			for j := k + 1; j < n; j++ {
				to[j] += share * row[j]
			}
			to[i] = diagonal
			w.in[i] += share * w.in[k]
		}
		for j := k + 1; j < n; j++ {
			row[j] *= inverse
		}
	}
	for k := n - 1; k >= 0; k-- {
		v := 0.0
		if w.pivot[k] != 0 {
			v = w.in[k] / w.pivot[k]
			for j := k + 1; j < n; j++ {
				v += w.g[k*mostFew+j] * w.volts[j]
			}
		}
		w.volts[k] = v
	}
}

// weigh finds the weight of every node's injected current in v_plus − v_minus.
func (w *few) weigh(plus, minus int8) {
	n := w.n
	var c [mostFew]float64
	if plus >= 0 {
		c[plus]++
	}
	if minus >= 0 {
		c[minus]--
	}
	for k := range n {
		if w.pivot[k] == 0 {
			c[k] = 0
			continue
		}
		for j := k + 1; j < n; j++ {
			c[j] += w.g[k*mostFew+j] * c[k]
		}
		c[k] /= w.pivot[k]
	}
	for k := n - 1; k >= 0; k-- {
		v := c[k]
		if w.pivot[k] != 0 {
			for i := k + 1; i < n; i++ {
				v += w.g[i*mostFew+k] * w.weights[i]
			}
		}
		w.weights[k] = v
	}
}

// volt is a node's voltage, nothing at B-.
func (w *few) volt(i int8) float64 {
	if i < 0 {
		return 0
	}
	return w.volts[i]
}

func (w *few) weight(i int8) float64 {
	if i < 0 {
		return 0
	}
	return w.weights[i]
}
