package evidence

import (
	"math"

	"ohmtrail/circuits"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/network"
)

// Ray is one way a reading can come out: a group of hypotheses, its weight, and a value with its spread, or one of a
// few discrete outcomes (OL, no value, a yes or no).
type Ray struct {
	Group    int // what is to be told apart: the hypothesis, unless it is gathered with others
	Weight   float64
	Discrete int // 0 for a value; else the number of a discrete outcome
	Mean, SD float64
	Source   int // the hypothesis behind it, for telling what an outcome would mean
	Particle int // the particle behind it
}

// discrete outcomes of a ray.
const (
	RayOL = iota + 1
	RayNone
	RayLow   // scan value at the bottom of its range
	RayHigh  // at the top
	RayJumps // a value watched while a place is moved jumps
	RayStays // it stays
)

// Rays predicts a reading under every particle; of a symptom that comes and goes, with the fault there and away, and while
// a place is moved. live is the share of probability under which the circuit would be live at an ohms reading, which then
// must not be suggested.
func Rays(j *circuits.Job, ps []Particle, c circuits.Reading) (rays []Ray, live float64) {
	if !j.Intermittent {
		return RaysThere(j, ps, c)
	}
	moved, err := j.Circuit.Somewhere(c.Wiggle)
	a := newCaster(j, c)
	for i := range ps {
		p := &ps[i]
		there := a.cast(i, p, p.fault, p.Weight)
		switch {
		case c.Wiggle != "" && err == nil:
			away := there
			if !hypothesis.Steady(p.fault) {
				away = a.cast(i, p, circuits.Single{}, p.Weight)
			}
			rays = append(rays, movedRays(j.Circuit, p, moved, there, away)...)
			continue
		case hypothesis.Steady(p.fault) || p.fault.Kind == circuits.Healthy:
			rays = append(rays, there...)
			continue
		}
		for k := range there {
			there[k].Weight *= p.duty
		}
		rays = append(append(rays, there...), a.cast(i, p, circuits.Single{}, (1-p.duty)*p.Weight)...)
	}
	return rays, a.live
}

// RaysThere predicts a reading with the fault there.
func RaysThere(j *circuits.Job, ps []Particle, c circuits.Reading) (rays []Ray, live float64) {
	a := newCaster(j, c)
	for i := range ps {
		rays = append(rays, a.cast(i, &ps[i], ps[i].fault, ps[i].Weight)...)
	}
	return rays, a.live
}

// caster predicts one reading under particle after particle.
type caster struct {
	j      *circuits.Job
	c      circuits.Reading
	pin    *circuits.Pin
	frames map[*Scales]*network.Frame
	scenes map[sceneKey]*network.Scene
	live   float64
	pred   network.Prediction
	k      network.Case
	room   scratch
	least  float64
}

// sceneKey names a network that particles share.
type sceneKey struct {
	w       *Scales
	stimuli string
}

func newCaster(j *circuits.Job, c circuits.Reading) *caster {
	a := &caster{j: j, c: c, frames: map[*Scales]*network.Frame{}, scenes: map[sceneKey]*network.Scene{}}
	if c.Quantity == circuits.ScanVolts {
		a.pin = j.Circuit.Pin(c.Point())
	}
	a.least = slight * sigmaOf(j.Meter, c, 0, a.pin)
	return a
}

// cast gives the rays of a fault under a particle's stimuli and tolerances.
func (a *caster) cast(i int, p *Particle, f circuits.Single, weight float64) []Ray {
	ray := Ray{Group: p.Candidate, Weight: weight, Source: p.Candidate, Particle: i}
	a.look(p, f, p.at, p.key)
	if a.pred.Status == network.Fine {
		sigma := sigmaOf(a.j.Meter, a.c, a.pred.Value, a.pin)
		if k := p.wide(a.c, &a.pred, sigma); k >= 0 {
			return a.along(k, ray, p, f)
		}
	}
	return a.rays(ray, p, p.at, -1, 0)
}

// along gives the rays of a fault in the cells of an unknown stimulus that is wide.
func (a *caster) along(k int, ray Ray, p *Particle, f circuits.Single) []Ray {
	var out []Ray
	places, weights, width := p.cells(k)
	at := append([]float64(nil), p.at...)
	for n, place := range places {
		at[k] = p.w.unknowns[k].rounded(place)
		a.look(p, f, at, p.keyOf(at))
		part := ray
		part.Weight *= weights[n]
		out = append(out, a.rays(part, p, at, k, width)...)
	}
	return out
}

// look predicts the reading under a fault with the unknowns at those places.
func (a *caster) look(p *Particle, f circuits.Single, at []float64, name string) {
	key := sceneKey{p.w, name}
	s := a.scenes[key]
	if s == nil {
		if a.frames[p.w] == nil {
			a.frames[p.w] = p.w.layout.Frame(a.j.Meter, a.c)
		}
		s = a.frames[p.w].Scene(p.stimuliAt(a.c, at))
		a.scenes[key] = s
	}
	a.k.Place(s, f)
	if f.Kind != circuits.Healthy {
		a.k.Blow(p.gone)
	}
	a.k.Leaning(p.ohms, a.least, &a.pred)
}

// rays turns what was looked at into the ways in which the reading can come out.
func (a *caster) rays(ray Ray, p *Particle, at []float64, fixed int, width float64) []Ray {
	switch a.pred.Status {
	case network.OverRange:
		ray.Discrete = RayOL
	case network.NoValue:
		if a.pred.Why.Kind == network.Live {
			a.live += ray.Weight
		}
		ray.Discrete = RayNone
		if a.pred.Why.Kind == network.Floating {
			ray.Discrete, ray.SD = 0, 0.5
		}
	default:
		return a.values(ray, p, at, fixed, width)
	}
	return []Ray{ray}
}

// values gives a ray its mean and spread; ohms by their logarithm, a scan value parted at the ends of its range.
func (a *caster) values(ray Ray, p *Particle, at []float64, fixed int, width float64) []Ray {
	sigma := sigmaOf(a.j.Meter, a.c, a.pred.Value, a.pin)
	mean, variance := p.predict(&a.room, a.c, &a.pred, at, fixed, width, sigma)
	ray.Mean, ray.SD = mean, math.Sqrt(variance)
	switch a.c.Quantity {
	case circuits.Ohms:
		mean = max(mean, 0.1)
		ray.SD = min(max(ray.SD/mean, 0.003), 3)
		ray.Mean = math.Log(mean)
	case circuits.ScanVolts:
		return clipped(ray, math.Sqrt(max(variance-sigma*sigma, 0)+sq(floorVolts/4)), a.pin)
	}
	return []Ray{ray}
}

// movedRays are the ways in which a value that is watched while a place is moved can come out: it stays, it jumps to what
// a fault predicts, or it jumps for another reason. there are the rays with the fault there, away those without it.
func movedRays(c *circuits.Circuit, p *Particle, moved circuits.Location, there, away []Ray) []Ray {
	chance := jumpsUnfelt
	if felt(there, away) {
		chance = JumpChance(c, moved, p.fault)
	}
	stays := away[0]
	stays.Discrete, stays.Weight = RayStays, (1-chance)*p.Weight
	if chance == jumpsUnfelt {
		jump := stays
		jump.Discrete, jump.Weight = RayJumps, chance*p.Weight
		return []Ray{stays, jump}
	}
	out := []Ray{stays}
	for _, ray := range there {
		ray.Weight *= chance
		out = append(out, ray)
	}
	return out
}

// felt tells whether a fault moves a reading beyond doubt.
func felt(there, away []Ray) bool {
	for _, a := range there {
		for _, b := range away {
			if a.Discrete == b.Discrete && (a.Discrete != 0 || math.Abs(a.Mean-b.Mean) < Apart*math.Max(a.SD, b.SD)) {
				return false
			}
		}
	}
	return true
}

// Misreadings are the prior share of misread values of a planned reading, and the span over which those lie: of ohms in
// e-folds, for they are compared by their logarithm.
func Misreadings(j *circuits.Job, r circuits.Reading) (share, span float64) {
	switch r.Quantity {
	case circuits.Amps, circuits.Ohms:
		return MisreadPrior, 20
	case circuits.ScanVolts:
		share = scanMisreadPrior
	default:
		share = MisreadPrior
	}
	return share, 1.3*max(j.Circuit.Battery.Volts, j.Circuit.Battery.RunningVolts) + 1
}

// leastPart is the share of a ray below which what lies beyond the end of a range, or within it, is left out.
const leastPart = 0.02

// clipped parts a ray of a scan value at the ends of its range: what lies beyond an end is reported as that end, an
// outcome of its own, and only the rest is a value. exact is the spread before the converter rounds; a reference of 5 V
// to 1 % reads clipped half the time and as a value the other half.
func clipped(ray Ray, exact float64, pin *circuits.Pin) []Ray {
	step := pin.StepVolts()
	low, high := pin.RangeVolts[0]+step/2, pin.RangeVolts[1]-step/2
	under, over := 1-above(low, ray.Mean, exact), above(high, ray.Mean, exact)
	within := 1 - under - over
	whole := 0.0
	for _, share := range []float64{under, over, within} {
		if share >= leastPart {
			whole += share
		}
	}
	var out []Ray
	part := func(share float64, discrete int) {
		if share >= leastPart {
			p := ray
			p.Weight *= share / whole
			p.Discrete = discrete
			out = append(out, p)
		}
	}
	part(under, RayLow)
	part(over, RayHigh)
	part(within, 0)
	if within >= leastPart && within < 1-leastPart {
		// Mean and spread of the normal cut off at both ends.
		a, b := (low-ray.Mean)/exact, (high-ray.Mean)/exact
		fa, fb := normal(a, 0, 1), normal(b, 0, 1)
		shift := (fa - fb) / within
		value := &out[len(out)-1]
		value.Mean = ray.Mean + exact*shift
		rounding := sq(ray.SD) - sq(exact)
		value.SD = math.Sqrt(sq(exact)*max(1+(a*fa-b*fb)/within-sq(shift), 0) + rounding)
	}
	return out
}
