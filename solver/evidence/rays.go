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
	return a
}

// cast gives the rays of a fault under a particle's stimuli and tolerances.
func (a *caster) cast(i int, p *Particle, f circuits.Single, weight float64) []Ray {
	var s *network.Scene
	key := sceneKey{p.w, p.key}
	if f.Kind == circuits.Swapped {
		s = p.w.layout.Swapped(a.j.Meter, a.c, f).Scene(p.w.sceneSet(p, a.c))
	} else if s = a.scenes[key]; s == nil {
		if a.frames[p.w] == nil {
			a.frames[p.w] = p.w.layout.Frame(a.j.Meter, a.c)
		}
		s = a.frames[p.w].Scene(p.w.sceneSet(p, a.c))
		a.scenes[key] = s
	}
	a.k.Place(s, f)
	a.k.At(p.ohms, &a.pred)
	ray := Ray{Group: p.Candidate, Weight: weight, Source: p.Candidate, Particle: i}
	switch a.pred.Status {
	case network.OverRange:
		ray.Discrete = RayOL
	case network.NoValue:
		if a.pred.Why.Kind == network.Live {
			a.live += weight
		}
		ray.Discrete = RayNone
		if a.pred.Why.Kind == network.Floating {
			ray.Discrete, ray.SD = 0, 0.5
		}
	default:
		return valueRays(a.j.Meter, ray, p, a.c, &a.pred, a.pin)
	}
	return []Ray{ray}
}

// valueRays gives a ray its mean and spread; ohms by their logarithm, a scan value parted at the ends of its range.
func valueRays(m circuits.Meter, ray Ray, p *Particle, c circuits.Reading, pred *network.Prediction, pin *circuits.Pin) []Ray {
	sigma := sigmaOf(m, c, pred.Value, pin)
	mean, variance := p.w.predict(p, c, pred, sigma)
	ray.Mean, ray.SD = mean, math.Sqrt(variance)
	switch c.Quantity {
	case circuits.Ohms:
		mean = max(mean, 0.1)
		ray.SD = min(max(ray.SD/mean, 0.003), 3)
		ray.Mean = math.Log(mean)
	case circuits.ScanVolts:
		return clipped(ray, math.Sqrt(max(variance-sigma*sigma, 0)+sq(floorVolts/4)), pin)
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
