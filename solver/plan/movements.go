package plan

import (
	"sort"

	"ohmtrail/circuits"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/rank"
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
func watched(r *rank.Ranking, ps []evidence.Particle, places placeIndex) []circuits.Reading {
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
		rays, live := evidence.RaysThere(r.Job, ps, c)
		places.gather(rays)
		misread, span := evidence.Misreadings(r.Job, c)
		if gain := Gain(rays, misread, span) / r.Job.Circuit.Minutes(c, r.Job.Reached()); live < 0.2 && gain > 0 {
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

// movements are the movements worth trying, each watched at the values that the leading faults move most.
func movements(r *rank.Ranking) []circuits.Reading {
	l := candidateList{j: r.Job, c: r.Job.Circuit, conductors: conductors(r.Job.Circuit), seen: map[string]bool{}}
	l.wiggles(watched(r, r.Particles(), newPlaceIndex(r)))
	return l.out
}
