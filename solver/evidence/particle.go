package evidence

import (
	"math"
	"sort"

	"ohmtrail/circuits"
	"ohmtrail/solver/network"
)

// Particle is a hypothesis at one strip of its ohms, with the stimuli and tolerances that the readings so far leave: a
// Gaussian around a linear law. The next reading is predicted from it.
type Particle struct {
	Candidate int // its fault's number
	w         *Scales
	Weight    float64
	duty      float64 // of a fault that comes and goes
	ohms      float64
	width     float64 // of the strip, in e-folds; of the shown stimulus for a part that reads wrong
	fault     circuits.Single
	stimuli   map[string]float64 // by device: the best estimate
	key       string             // of the stimuli, rounded
	spread    []float64          // by parameter: one standard deviation to scale a sensitivity by, before the readings
	sens      [][]float64        // by observation: scaled sensitivities
	precision []float64          // n×n: inverse covariance of the observations
	pull      []float64          // precision × gap
	used      []int              // observations that count
}

// particleStrips is the most strips of one fault.
const particleStrips = 3

// Particles picks a few strips that stand for a fault's ohms, evenly by probability. candidate is the fault's number,
// probability its own, duty the share of the time for which it is there.
func (w *Scales) Particles(x *Weighed, candidate int, probability, duty float64) []Particle {
	if x.in != nil {
		w = x.in
	}
	cells := x.cells
	total := math.Inf(-1)
	for _, s := range cells {
		total = logAdd(total, s.logPrior+s.logL)
	}
	count := min(particleStrips, len(cells))
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
	for _, i := range order {
		p := Particle{Candidate: candidate, w: w, Weight: probability * picked[i], duty: duty, fault: x.Fault, width: cells[i].width}
		if p.fault.Kind.TakesOhms() {
			p.ohms = math.Exp(cells[i].logOhms)
		}
		w.settle(&p, cells[i])
		out = append(out, p)
	}
	return out
}

// settle finds the stimuli that suit a particle's readings best and linearises around them: a few Gauss–Newton steps
// from the middle of the ranges.
func (w *Scales) settle(p *Particle, c cell) {
	wrong := ""
	if p.fault.Kind == circuits.DeviceInside && p.fault.Words == circuits.ReadsWrong {
		wrong = p.fault.At.From.Place
	}
	unknown := map[string]bool{}
	for name := range w.scen.sets[0] {
		unknown[name] = true
	}
	p.stimuli = map[string]float64{}
	for i := range w.j.Circuit.Devices {
		d := &w.j.Circuit.Devices[i]
		if unknown[d.Name] {
			p.stimuli[d.Name] = d.Nominal()
		}
	}
	if wrong != "" {
		p.stimuli[wrong] = c.logOhms
		delete(unknown, wrong)
	}
	for i := range w.obs {
		if c.miss[i] < 0.5 && !w.obs[i].pair && !w.j.Intermittent { // what comes and goes has no one resistance
			p.used = append(p.used, i)
		}
	}
	p.spread = make([]float64, len(w.parameters)+1)
	for q, parameter := range w.parameters {
		switch {
		case parameter.Kind != network.Stimulus:
			p.spread[q] = 1
		case parameter.Place.Place == wrong:
			p.spread[q] = uniformSD(c.width)
		case unknown[parameter.Place.Place]:
			p.spread[q] = uniformSD(w.scen.span[q])
		}
	}
	p.spread[len(w.parameters)] = uniformSD(c.width)
	if wrong != "" {
		p.spread[len(w.parameters)] = 0
	}
	for range w.newtonSteps(unknown) {
		w.linearise(p)
		w.moveStimuli(p, unknown)
	}
	w.linearise(p)
	p.key = w.roundedKey(p)
}

// newtonSteps: none are needed where no stimulus is unknown.
func (w *Scales) newtonSteps(unknown map[string]bool) int {
	if len(unknown) == 0 {
		return 0
	}
	return 4
}

// sceneSet are the stimuli of a particle at a reading: what the reading or the job knows wins, but for a part that
// reads wrong.
func (w *Scales) sceneSet(p *Particle, r circuits.Reading) map[string]float64 {
	out := map[string]float64{}
	for i := range w.j.Circuit.Devices {
		d := &w.j.Circuit.Devices[i]
		if v, ok := w.j.SetOf(r, d); ok {
			out[d.Name] = v
		}
		v, mine := p.stimuli[d.Name]
		if _, known := out[d.Name]; mine && (!known || p.fault.At.From.Place == d.Name && p.fault.Words == circuits.ReadsWrong) {
			out[d.Name] = v
		}
	}
	return out
}

// linearise predicts the observations at the particle's stimuli.
func (w *Scales) linearise(p *Particle) {
	var g joint
	var used []int
	p.sens = p.sens[:0]
	var pred network.Prediction
	var c network.Case
	var gaps, noise []float64
	for _, i := range p.used {
		o := &w.obs[i]
		frame := o.frame
		if p.fault.Kind == circuits.Swapped {
			frame = w.layout.Swapped(w.j.Meter, o.r, p.fault)
		}
		c.Place(frame.Scene(w.sceneSet(p, o.r)), p.fault)
		c.At(p.ohms, &pred)
		if pred.Status != network.Fine || o.ol || o.clipped != 0 {
			continue
		}
		used = append(used, i)
		p.sens = append(p.sens, w.scaled(p, o.r, &pred))
		gaps, noise = append(gaps, o.value-pred.Value), append(noise, o.sigma*o.sigma)
	}
	n := len(used)
	g.resize(n)
	for x := range n {
		g.gap[x] = gaps[x]
		for y := range n {
			g.cov[x*n+y] = dot(p.sens[x], p.sens[y])
		}
		g.cov[x*n+x] += noise[x]
	}
	if n > 0 {
		g.invert()
	}
	p.precision = append(p.precision[:0], g.cov[:n*n]...)
	p.pull = make([]float64, n)
	for x := range n {
		for y := range n {
			p.pull[x] += p.precision[x*n+y] * g.gap[y]
		}
	}
}

// scaled are a prediction's sensitivities in units of its particle's spreads; a stimulus that the reading sets itself
// counts for nothing.
func (w *Scales) scaled(p *Particle, r circuits.Reading, pred *network.Prediction) []float64 {
	out := make([]float64, len(w.parameters)+1)
	for q, s := range pred.Sens {
		if s == 0 || p.spread[q] == 0 {
			continue
		}
		if w.parameters[q].Kind == network.Stimulus {
			name := w.parameters[q].Place.Place
			wrong := p.fault.Words == circuits.ReadsWrong && p.fault.At.From.Place == name
			if _, known := w.j.SetOf(r, w.j.Circuit.Device(name)); known && !wrong {
				continue
			}
		}
		out[q] = s * p.spread[q]
	}
	out[len(w.parameters)] = pred.Slope * p.spread[len(w.parameters)]
	return out
}

func dot(a, b []float64) float64 {
	sum := 0.0
	for i, v := range a {
		sum += v * b[i]
	}
	return sum
}

// moveStimuli moves the unknown stimuli to where the readings pull them, within their ranges.
func (w *Scales) moveStimuli(p *Particle, unknown map[string]bool) {
	for q, parameter := range w.parameters {
		name := parameter.Place.Place
		if parameter.Kind != network.Stimulus || !unknown[name] {
			continue
		}
		shift := 0.0
		for x := range p.sens {
			shift += p.sens[x][q] * p.pull[x]
		}
		d := w.j.Circuit.Device(name)
		p.stimuli[name] = min(max(p.stimuli[name]+shift*p.spread[q], d.Range[0]), d.Range[1])
	}
}

// roundedKey names a particle's stimuli to a sixteenth of their ranges; the linear law makes up for the rest, so that particles which agree share a network.
func (w *Scales) roundedKey(p *Particle) string {
	var key []byte
	for i := range w.j.Circuit.Devices {
		d := &w.j.Circuit.Devices[i]
		v, ok := p.stimuli[d.Name]
		if !ok {
			continue
		}
		if !d.Kind.TwoState() && !(p.fault.Words == circuits.ReadsWrong && p.fault.At.From.Place == d.Name) {
			step := (d.Range[1] - d.Range[0]) / 16
			v = d.Range[0] + math.Round((v-d.Range[0])/step)*step
			p.stimuli[d.Name] = v
		}
		bits := math.Float64bits(v)
		for s := 0; s < 64; s += 8 {
			key = append(key, byte(bits>>s))
		}
	}
	return string(key)
}

// predict gives the mean and variance of a reading under a particle, the meter's own error included, once the readings
// so far are taken into account.
func (w *Scales) predict(p *Particle, r circuits.Reading, pred *network.Prediction, sigma float64) (mean, variance float64) {
	s := w.scaled(p, r, pred)
	n := len(p.sens)
	mean, variance = pred.Value, dot(s, s)+sigma*sigma
	toward := make([]float64, n)
	for x := range n {
		toward[x] = dot(s, p.sens[x])
		mean += toward[x] * p.pull[x]
	}
	for x := range n {
		for y := range n {
			variance -= toward[x] * p.precision[x*n+y] * toward[y]
		}
	}
	return mean, max(variance, sigma*sigma)
}
