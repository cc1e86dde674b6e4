package circuits

import "slices"

// Undo is what hands take back before the machine, as it stands after one reading, is as the next one wants it.
type Undo struct {
	PlugIn    []string   // connectors apart that belong together, as the job names them
	Jumpers   [][2]Point // leads to take off
	Loads     []LoadLead // test loads to take off
	Ammeter   Location   // the circuit that the meter stands in, to be closed again; zero where it stands in none
	Release   []string   // devices whose stimulus was set, to be as they were
	EngineOff bool
}

// None tells whether nothing is to be taken back.
func (u Undo) None() bool {
	return !u.ByHand() && len(u.Release) == 0 && !u.EngineOff
}

// ByHand tells whether something is plugged, or a lead is taken off: never under power.
func (u Undo) ByHand() bool {
	return len(u.PlugIn) > 0 || len(u.Jumpers) > 0 || len(u.Loads) > 0 || !u.Ammeter.IsZero()
}

// Before is what is to be taken back before a reading where the machine stands as it was left after another.
func (r Reading) Before(left Reading) Undo {
	u := Undo{EngineOff: left.State.Key == KeyRun && r.State.Key != KeyRun}
	for _, plug := range left.State.Unplugged {
		if !slices.Contains(r.State.Unplugged, plug) {
			u.PlugIn = append(u.PlugIn, plug)
		}
	}
	for _, j := range left.State.Jumpers {
		if !slices.ContainsFunc(r.State.Jumpers, func(x [2]Point) bool { return x == j || x == [2]Point{j[1], j[0]} }) {
			u.Jumpers = append(u.Jumpers, j)
		}
	}
	for _, l := range left.State.Loads {
		if !slices.Contains(r.State.Loads, l) {
			u.Loads = append(u.Loads, l)
		}
	}
	if left.Quantity == Amps && !(r.Quantity == Amps && r.At == left.At) {
		u.Ammeter = left.At
	}
	for _, s := range left.State.Set {
		if !slices.ContainsFunc(r.State.Set, func(x SetDevice) bool { return x.Device == s.Device }) {
			u.Release = append(u.Release, s.Device)
		}
	}
	return u
}

// Left is the reading after which the machine stands as it does: the last one taken on it. It is the zero Reading, a machine with
// everything plugged in, where none was taken, or where a repair was tried since: the machine is put together to try it.
func (j *Job) Left() Reading {
	var left Reading
	for _, r := range j.Readings {
		if r.Taken && !r.Sound {
			left = r
		}
	}
	for _, t := range j.Tried {
		if t.Line > left.Line {
			return Reading{}
		}
	}
	return left
}
