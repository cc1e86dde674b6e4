package evidence

import (
	"fmt"
	"math"
	"sort"

	"ohmtrail/circuits"
	"ohmtrail/solver/network"
)

// Particle is a hypothesis at one strip of its ohms, with the stimuli and tolerances that the readings so far leave: a
// Gaussian around a linear law. The next reading is predicted from it.
type Particle struct {
	Candidate int // its fault's number
	Weight    float64
	w         *Scales
	gone      []string // fuses that it has blown
	duty      float64  // of a fault that comes and goes
	ohms      float64
	width     float64 // of the strip, in e-folds
	fault     circuits.Single
	at        []float64 // by unknown: where planned readings are looked at, rounded so that particles share their networks
	mean, sd  []float64 // by unknown: what the readings so far say of it
	key       string    // names where the planned readings are looked at
	b         *bench    // its own: what reads wrong, and the switches as the readings have them
	laid      *laid
}

const (
	// PlannedStrips are the most strips of one fault that stand for it in a plan's readings, FlowStrips those in a chart, whose
	// outcomes are cut where few machines lie.
	PlannedStrips = 3
	FlowStrips    = 12
	// plannedWidth is the most e-folds over which a strip spreads a planned reading along a straight line: over more, a dead short
	// would show less than nothing.
	plannedWidth = 1
	// roundedSteps is the number of steps of a stimulus's range to which it is rounded for planned readings.
	roundedSteps = 256
)

// Particles picks at most that many strips that stand for a fault's ohms, evenly by probability. candidate is the fault's number,
// probability its own, duty the share of the time for which it is there.
func (w *Scales) Particles(x *Weighed, candidate int, probability, duty float64, most int) []Particle {
	if x.in != nil {
		w = x.in
	}
	cells := x.cells
	total := math.Inf(-1)
	for _, s := range cells {
		total = logAdd(total, s.logPrior+s.logL)
	}
	count := min(most, len(cells))
	picked := map[int]float64{}
	sum, next := 0.0, 0.5/float64(count)
	for i, s := range cells {
		sum += math.Exp(s.logPrior + s.logL - total)
		for next < sum {
			picked[i] += 1 / float64(count)
			next += 1 / float64(count)
		}
	}
	order := make([]int, 0, len(picked))
	for i := range picked {
		order = append(order, i)
	}
	sort.Ints(order)
	var out []Particle
	b := newBench(w)
	for _, i := range order {
		width := cells[i].width
		if !w.j.Intermittent { // what comes and goes has other ohms each time, all over its strip
			width = min(width, plannedWidth)
		}
		p := Particle{Candidate: candidate, w: w, Weight: probability * picked[i], duty: duty, fault: cells[i].placed(x.Fault), width: width, ohms: cells[i].ohms(x.Fault), gone: cells[i].gone}
		p.lay(b, cells[i])
		out = append(out, p)
	}
	return out
}

// lay lays the particle to the readings, on a bench that others use after it.
func (p *Particle) lay(b *bench, c cell) {
	b.exactly = true
	b.place(p.fault)
	if p.w.j.Intermittent { // what comes and goes has no one resistance, and no stimulus that all readings share
		b.laid.begin(b, p.fault, nil)
		b.weighLaid(&b.laid)
	} else {
		b.strip(p.fault, &c)
	}
	p.laid = b.laid.kept()
	p.b = &bench{w: p.w, wrong: b.wrong, forced: b.forced, shows: b.shows, on: append([]float64(nil), b.on...)}
	for k, u := range p.w.unknowns {
		mean, sd := p.b.posterior(p.laid, k)
		p.mean, p.sd = append(p.mean, min(max(mean, u.low), u.high)), append(p.sd, sd)
		p.at = append(p.at, u.rounded(p.mean[k]))
	}
	p.key = p.keyOf(p.at)
}

// rounded is a stimulus on the grid on which planned readings are looked at.
func (u unknown) rounded(x float64) float64 {
	step := (u.high - u.low) / roundedSteps
	return u.low + math.Round((x-u.low)/step)*step
}

func (p *Particle) keyOf(at []float64) string {
	return fmt.Sprintf("%.6g %v %s %g", at, p.b.on, p.b.forced, p.b.shows)
}

const (
	// wideShare is the share of its range that one standard deviation of a stimulus may be for a planned reading to be looked at in
	// one place; else it is looked at in wideCells.
	wideShare = 0.08
	wideCells = 5
)

// wide is the unknown stimulus that spreads a planned reading over more than a straight line holds; -1 for none.
func (p *Particle) wide(r circuits.Reading, pred *network.Prediction, sigma float64) int {
	o := p.w.planned(r)
	widest, most := -1, 3*sigma
	for _, l := range pred.Leans {
		q, s := int(l.Parameter), l.Change
		if p.w.parameters[q].Kind != network.Stimulus {
			continue
		}
		k := p.b.unknownAt(&o, q)
		if k < 0 {
			continue
		}
		u := &p.w.unknowns[k]
		if by := math.Abs(s) * p.sd[k]; by > most && p.sd[k] > wideShare*(u.high-u.low) {
			widest, most = k, by
		}
	}
	return widest
}

// cells are the places in which a planned reading is looked at along a wide unknown, with their weights, and the width of one.
func (p *Particle) cells(k int) (at, weight []float64, width float64) {
	u := &p.w.unknowns[k]
	reach := math.Sqrt(3) * p.sd[k]
	low, high := max(u.low, p.mean[k]-reach), min(u.high, p.mean[k]+reach)
	width = (high - low) / wideCells
	for i := range wideCells {
		at = append(at, low+(float64(i)+0.5)*width)
		weight = append(weight, 1.0/wideCells)
	}
	return at, weight, width
}

// planned is the observation that a reading would be.
func (w *Scales) planned(r circuits.Reading) observation {
	o := observation{r: r, quantity: r.Quantity, reading: -1, same: -1, twin: -1}
	for k, u := range w.unknowns {
		if _, known := w.j.SetOf(r, u.device); !known && !u.wrong && !u.sister && u.reading < 0 {
			o.unknowns = append(o.unknowns, k)
		}
	}
	for k, u := range w.switches {
		if _, known := w.j.SetOf(r, u.device); !known && u.reading < 0 && !u.sister && !free(w.j, u.device) {
			o.switches = append(o.switches, k)
		}
	}
	return o
}

// predict gives mean and variance of a reading under a particle, the meter's own error included, once the readings
// so far are taken into account.
//
// It was looked at with the unknowns at those places; fixed is one that keeps to its cell of that width, -1 for none.
func (p *Particle) predict(room *scratch, r circuits.Reading, pred *network.Prediction, at []float64, fixed int, width, sigma float64) (mean, variance float64) {
	o := p.w.planned(r)
	skip := -1
	if fixed >= 0 {
		skip = p.w.unknowns[fixed].parameter
		o.unknowns = without(o.unknowns, fixed)
	}
	o.value, o.sigma = pred.Value, sigma
	mean, variance = p.b.given(room, p.laid, &o, pred, at, p.width)
	for _, l := range pred.Leans { // what no reading so far has leant on, or is free at each
		q, s := int(l.Parameter), l.Change
		if q == skip {
			variance += sq(s * uniformSD(width))
			continue
		}
		if p.w.parameters[q].Kind != network.Stimulus || p.b.unknownAt(&o, q) >= 0 {
			continue
		}
		if d := p.w.j.Circuit.Device(p.w.parameters[q].Place.Place); !known(p.w.j, r, d) {
			mean += s * ((d.Range[0]+d.Range[1])/2 - d.Nominal())
			variance += sq(s * uniformSD(d.Range[1]-d.Range[0]))
		}
	}
	return mean, variance
}

func known(j *circuits.Job, r circuits.Reading, d *circuits.Device) bool {
	_, ok := j.SetOf(r, d)
	return ok
}

// stimuliAt are a particle's stimuli at a reading.
func (p *Particle) stimuliAt(r circuits.Reading, at []float64) map[string]float64 {
	o := p.w.planned(r)
	return p.b.settings(&o, at)
}

func without(list []int, x int) []int {
	var out []int
	for _, v := range list {
		if v != x {
			out = append(out, v)
		}
	}
	return out
}
