package draw

import "ohmtrail/circuits"

// readsBack tells whether a run crosses the first connector that it meets from east to west.
func (d *diagram) readsBack(r circuits.Run) bool {
	for _, i := range r.Wires {
		w := d.circuit.Wires[i]
		for _, at := range [2]circuits.Point{w.From, w.To} {
			if d.parts[d.byName[at.Place]].crossed {
				return d.back(at, at == w.From)
			}
		}
	}
	return false
}

// back tells whether a wire that begins or ends at a crossed connector leads from east to west there.
func (d *diagram) back(at circuits.Point, begins bool) bool {
	return (at.Side == d.parts[d.byName[at.Place]].sides[0]) == begins
}

// mirror turns connectors round on the page whose second half faces what its runs come from through another connector:
// which half is the first one depends on how the first path through it is written.
func (d *diagram) mirror() {
	placed := map[string]bool{}
	for _, r := range d.circuit.Runs {
		var known, reads bool
		each := func(do func(at circuits.Point, begins bool)) {
			for _, i := range r.Wires {
				w := d.circuit.Wires[i]
				for _, at := range [2]circuits.Point{w.From, w.To} {
					if d.parts[d.byName[at.Place]].crossed {
						do(at, at == w.From)
					}
				}
			}
		}
		each(func(at circuits.Point, begins bool) {
			if !known && placed[at.Place] {
				known, reads = true, d.back(at, begins)
			}
		})
		each(func(at circuits.Point, begins bool) {
			if !known {
				known, reads = true, d.back(at, begins)
			}
			if p := &d.parts[d.byName[at.Place]]; !placed[at.Place] && d.back(at, begins) != reads {
				p.sides[0], p.sides[1] = p.sides[1], p.sides[0]
			}
			placed[at.Place] = true
		})
	}
}
