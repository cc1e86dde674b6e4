package reason

import (
	"math"
	"sort"

	"ohmtrail/circuits"
)

// Discrete outcomes of a reading that is watched while a place is moved.
const (
	rayJumps = rayHigh + 1 + iota
	rayStays
)

// What a value does that is watched while a place is moved, where it is no value that a fault predicts.
const (
	Jumps = "it jumps"
	Stays = "it stays"
)

// mostWatched is how many values are offered to be watched while a place is moved.
const mostWatched = 6

// wiggles are the movements that a technician could try of a symptom that comes and goes: every plug, in-line connector,
// splice and stud by hand, with a value watched that the scan tool shows, or a part's own voltage where no module reads.
func (l *candidateList) wiggles(watched []circuits.Reading) {
	for _, place := range l.movable() {
		for _, r := range watched {
			r.Wiggle = place
			l.add(r)
		}
	}
}

// watched are the values worth watching: of those that can be read as the machine stands, the ones that would tell most
// with the fault there.
func (r *Ranking) watched(ps []particle, places placeIndex) []circuits.Reading {
	l := candidateList{j: r.Job, c: r.Job.Circuit, conductors: conductors(r.Job.Circuit), seen: map[string]bool{}}
	l.scans()
	l.volts()
	l.drops()
	type look struct {
		reading circuits.Reading
		gain    float64
	}
	var looks []look
	for _, c := range l.out {
		rays, live := r.raysThere(ps, places, c)
		o := planned(r.Job, c)
		if gain := Gain(rays, o.misread(), o.span) / r.Job.Circuit.Minutes(c, r.Job.Reached()); live < 0.2 && gain > 0 {
			looks = append(looks, look{c, gain})
		}
	}
	sort.SliceStable(looks, func(a, b int) bool { return looks[a].gain > looks[b].gain })
	var out []circuits.Reading
	for _, k := range looks[:min(mostWatched, len(looks))] {
		out = append(out, k.reading)
	}
	return out
}

// movable are the places that a hand can move, in file order.
func (l *candidateList) movable() []string {
	var out []string
	for _, x := range l.c.Connectors {
		if x.Crossed {
			out = append(out, x.Name)
		}
	}
	for _, s := range l.c.Splices {
		out = append(out, s.Name)
	}
	for _, d := range l.c.Devices {
		out = append(out, d.Name)
	}
	for _, m := range l.c.Modules {
		out = append(out, m.Name)
	}
	for _, s := range l.c.Studs {
		out = append(out, s.Name)
	}
	return out
}

// movedRays are the ways in which a value that is watched while a place is moved can come out: it stays, it jumps to what
// a fault predicts, or it jumps for another reason. there are the rays with the fault there, away those without it.
func (r *Ranking) movedRays(p *particle, moved circuits.Location, there, away []Ray) []Ray {
	chance := jumpsUnfelt
	if felt(there, away) {
		chance = jumps(r.Job.Circuit, moved, p.fault)
	}
	stays := away[0]
	stays.Discrete, stays.Weight = rayStays, (1-chance)*p.weight
	if chance == jumpsUnfelt {
		jump := stays
		jump.Discrete, jump.Weight = rayJumps, chance*p.weight
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
			if a.Discrete == b.Discrete && (a.Discrete != 0 || math.Abs(a.Mean-b.Mean) < apart*math.Max(a.SD, b.SD)) {
				return false
			}
		}
	}
	return true
}

// movements are the movements worth trying, each watched at the values that the leading faults move most.
func (r *Ranking) movements() []circuits.Reading {
	l := candidateList{j: r.Job, c: r.Job.Circuit, conductors: conductors(r.Job.Circuit), seen: map[string]bool{}}
	l.wiggles(r.watched(r.particles(), newPlaceIndex(r)))
	return l.out
}
