package plan

import (
	"math"
	"runtime"
	"sort"
	"sync"

	"ohmtrail/circuits"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/rank"
)

// lens is a reading as a chart looks through it: the values that it can show, cut into bins, and which share of each particle's
// machines falls into which bin. The last bin is no value.
type lens struct {
	reading circuits.Reading
	misread float64
	edges   []float64  // between the bins, rising; ohms by their logarithm
	shares  [][]binned // by particle
	rays    []evidence.Ray
	base    []float64 // by particle: the weight that its rays stand for
	margins []float64 // by edge: how far a reading's own error reaches
	gaps    []float64 // by edge: how far the values on both sides lie apart, for their spread
}

// binned is a share of a particle in a bin.
type binned struct {
	bin   int
	share float64
}

const (
	// lensEdges is how many edges a lens has at most from where weights lie, and as many from where values leave gaps.
	lensEdges = 24
	// beyondRange is the logarithm by which an ohms reading beyond the meter's range lies above its greatest.
	beyondRange = 1
)

func (l *lens) bins() int { return len(l.edges) + 2 }

// lensesOf are the readings that could be taken, each looked at once for all situations of a chart.
func lensesOf(r *rank.Ranking, particles []evidence.Particle) []lens {
	todo := open(r)
	all := make([]lens, len(todo))
	var wait sync.WaitGroup
	queue := make(chan int, len(todo))
	for i := range todo {
		queue <- i
	}
	close(queue)
	for range runtime.GOMAXPROCS(0) {
		wait.Add(1)
		go func() {
			defer wait.Done()
			for i := range queue {
				all[i] = newLens(r, particles, todo[i])
			}
		}()
	}
	wait.Wait()
	var out []lens
	for _, l := range all {
		if len(l.edges) > 0 {
			out = append(out, l)
		}
	}
	return out
}

// newLens looks at one reading; without edges where it tells nothing, or where an ohms reading would meet a live circuit.
func newLens(r *rank.Ranking, particles []evidence.Particle, reading circuits.Reading) lens {
	l := lens{reading: reading}
	rays, live := evidence.Rays(r.Job, particles, reading)
	if live >= 0.2 {
		return l
	}
	l.misread, _ = evidence.Misreadings(r.Job, reading)
	l.base = make([]float64, len(particles))
	pin := r.Job.Circuit.Pin(reading.Point())
	for _, ray := range rays {
		l.base[ray.Particle] += ray.Weight
		l.rays = append(l.rays, asValue(ray, r.Job.Meter, pin))
	}
	sort.SliceStable(l.rays, func(a, b int) bool { return l.rays[a].Mean < l.rays[b].Mean })
	l.cut(r.Job)
	l.shares = make([][]binned, len(particles)+1)
	for _, ray := range l.rays {
		l.spread(ray)
	}
	l.anywhere(r.Job)
	return l
}

// asValue makes values of the ends of an instrument's range, so that all but no value lies on one axis.
func asValue(ray evidence.Ray, meter circuits.Meter, pin *circuits.Pin) evidence.Ray {
	switch ray.Discrete {
	case evidence.RayOL:
		ray.Discrete, ray.Mean, ray.SD = 0, math.Log(meter.MaxOhms)+beyondRange, beyondRange/6.0
	case evidence.RayLow:
		ray.Discrete, ray.Mean, ray.SD = 0, pin.RangeVolts[0], pin.StepVolts()/2
	case evidence.RayHigh:
		ray.Discrete, ray.Mean, ray.SD = 0, pin.RangeVolts[1], pin.StepVolts()/2
	case 0:
	default:
		ray.Discrete, ray.Mean = evidence.RayNone, math.Inf(1)
	}
	return ray
}

// cut puts the edges where values leave the widest gaps, for their spread, and evenly by weight.
func (l *lens) cut(j *circuits.Job) {
	type gap struct{ at, wide float64 }
	var gaps []gap
	total := 0.0
	values := l.rays
	for len(values) > 0 && values[len(values)-1].Discrete != 0 {
		values = values[:len(values)-1]
	}
	for i, ray := range values {
		total += ray.Weight
		if i > 0 {
			before := values[i-1]
			if d := ray.Mean - before.Mean; d > 0 {
				gaps = append(gaps, gap{before.Mean + d*before.SD/(before.SD+ray.SD), d / (before.SD + ray.SD)})
			}
		}
	}
	edges := map[float64]float64{}
	sum, next, k := 0.0, 1.0, 0
	for i := 1; i < len(values); i++ {
		sum += values[i-1].Weight
		if values[i].Mean <= values[i-1].Mean {
			continue
		}
		if sum*(lensEdges+1) >= next*total {
			edges[gaps[k].at] = gaps[k].wide
			next = math.Floor(sum*(lensEdges+1)/total) + 1
		}
		k++
	}
	sort.SliceStable(gaps, func(a, b int) bool { return gaps[a].wide > gaps[b].wide })
	for _, g := range gaps[:min(lensEdges, len(gaps))] {
		edges[g.at] = g.wide
	}
	for at := range edges {
		l.edges = append(l.edges, at)
	}
	sort.Float64s(l.edges)
	for _, at := range l.edges {
		l.margins = append(l.margins, readingError(j, l.reading, at))
		l.gaps = append(l.gaps, edges[at])
	}
}

// readingError is the bound of the instrument's own error at a value.
func readingError(j *circuits.Job, r circuits.Reading, at float64) float64 {
	switch r.Quantity {
	case circuits.Ohms:
		ohms := math.Exp(at)
		return j.Meter.Ohms.Bound(ohms) / ohms
	case circuits.ScanVolts:
		if pin := j.Circuit.Pin(r.Point()); pin != nil {
			return pin.StepVolts()
		}
	}
	return j.Meter.Accuracy(r.Quantity).Bound(at)
}

// spread adds a ray to its particle's bins.
func (l *lens) spread(ray evidence.Ray) {
	share := ray.Weight / l.base[ray.Particle]
	if ray.Discrete != 0 {
		l.put(ray.Particle, l.bins()-1, share)
		return
	}
	const reach = 4
	from := sort.SearchFloat64s(l.edges, ray.Mean-reach*ray.SD)
	below := 0.0
	for bin := from; bin < l.bins()-1; bin++ {
		upTo := 1.0
		if bin < len(l.edges) {
			upTo = normal((l.edges[bin] - ray.Mean) / ray.SD)
		}
		if upTo-below > 1e-6 {
			l.put(ray.Particle, bin, share*(upTo-below))
		}
		if below = upTo; upTo > 1-1e-6 {
			break
		}
	}
}

// normal is the standard normal distribution function.
func normal(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }

func (l *lens) put(particle, bin int, share float64) {
	list := l.shares[particle]
	for i := range list {
		if list[i].bin == bin {
			list[i].share += share
			return
		}
	}
	l.shares[particle] = append(list, binned{bin, share})
}

// anywhere spreads what no hypothesis looks at: evenly over what the instrument shows.
func (l *lens) anywhere(j *circuits.Job) {
	if len(l.edges) == 0 {
		return
	}
	low, high := -1.0, 1.3*max(j.Circuit.Battery.Volts, j.Circuit.Battery.RunningVolts)
	if pin := j.Circuit.Pin(l.reading.Point()); l.reading.Quantity == circuits.ScanVolts && pin != nil {
		low, high = pin.RangeVolts[0], pin.RangeVolts[1]
	} else if l.reading.Quantity == circuits.Ohms {
		low, high = math.Log(leastOhms), math.Log(j.Meter.MaxOhms)+beyondRange
	}
	low, high = min(low, l.edges[0]), max(high, l.edges[len(l.edges)-1])
	last, from := len(l.shares)-1, low
	for bin := range l.bins() - 1 {
		to := high
		if bin < len(l.edges) {
			to = l.edges[bin]
		}
		l.put(last, bin, (to-from)/(high-low))
		from = to
	}
}
