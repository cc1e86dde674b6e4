package recording

import (
	"math"
	"sort"
)

// State is a level to which a recording keeps coming back.
type State struct {
	Level     float64 // mean over all its samples
	Low, High float64 // least and greatest level of its stretches
	Noise     float64 // one standard deviation of a sample about its level, drift apart
	SD        float64 // the same, drift included: of the stretch that moves most
	Samples   int64
	Seconds   float64 // in which it was seen
	Stretches int
}

// states puts stretches of one level together: sorted by level, they part where two neighbours are further apart than
// noise alone would put the means of short stretches.
func (r *Found) states() {
	order := make([]int, len(r.Stretches))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool { return r.Stretches[order[a]].Level < r.Stretches[order[b]].Level })
	member := make([]int, len(r.Stretches))
	var all []State
	for k, i := range order {
		s := r.Stretches[i]
		if k > 0 {
			before := r.Stretches[order[k-1]]
			if s.Level-before.Level > 2.5*max(s.Noise, before.Noise) {
				all = append(all, State{Low: s.Level})
			}
		} else {
			all = append(all, State{Low: s.Level})
		}
		x := &all[len(all)-1]
		x.Level += s.Level * float64(s.Samples)
		x.Noise, x.SD = math.Max(x.Noise, s.Noise), math.Max(x.SD, s.SD)
		x.High, x.Samples, x.Stretches = s.Level, x.Samples+s.Samples, x.Stretches+1
		x.Seconds += s.To - s.From + r.Interval
		member[i] = len(all) - 1
	}
	for i := range all {
		all[i].Level /= float64(all[i].Samples)
	}
	byTime := make([]int, len(all))
	for i := range byTime {
		byTime[i] = i
	}
	sort.SliceStable(byTime, func(a, b int) bool { return all[byTime[a]].Seconds > all[byTime[b]].Seconds })
	place := make([]int, len(all))
	for rank, i := range byTime {
		place[i] = rank
		r.States = append(r.States, all[i])
	}
	for i := range r.Stretches {
		r.Stretches[i].State = place[member[i]]
	}
}
