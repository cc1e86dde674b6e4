package exercise

import (
	"hash/fnv"
	"math"
	"math/rand/v2"
	"slices"

	"ohmtrail/circuits"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/network"
	"ohmtrail/solver/trial"
)

// Machine answers readings as the exercise's machine would: its tolerances drawn once, the meter's error drawn for each
// reading, scan values on the module's steps. The same question at the same step has the same answer, always.
type Machine struct {
	x       *Exercise
	vehicle *trial.Vehicle
}

// NewMachine builds an exercise's machine.
func NewMachine(x *Exercise) *Machine {
	m := &Machine{x: x, vehicle: trial.NewVehicleAsDrawn(x.Circuit, x.Hidden.Fault, 0, rand.New(rand.NewPCG(x.Hidden.Seed, 1)))}
	for _, s := range x.Stands {
		m.vehicle.Stimuli[s.Device] = s.Set
	}
	return m
}

// Vehicle is the machine with its fault there, whatever its duty.
func (m *Machine) Vehicle() *trial.Vehicle { return m.vehicle }

// with is the same machine with another fault in it.
func (m *Machine) with(f circuits.Fault) *trial.Vehicle {
	v := *m.vehicle
	v.Fault = f
	return &v
}

// left is what remains of the fault after repairs.
func (m *Machine) left(repaired []circuits.Location) circuits.Fault {
	var out []circuits.Single
	for _, s := range []circuits.Single{m.x.Hidden.Fault.First, m.x.Hidden.Fault.Second} {
		if s.Kind != circuits.Healthy && !slices.ContainsFunc(repaired, func(l circuits.Location) bool { return Cures(l, s) }) {
			out = append(out, s)
		}
	}
	switch len(out) {
	case 0:
		return circuits.Fault{}
	case 1:
		return circuits.Fault{First: out[0]}
	}
	return circuits.Fault{First: out[0], Second: out[1]}
}

// Cures tells whether putting a place right takes a fault away: its own place, either of two, the module of a pin.
func Cures(repaired circuits.Location, f circuits.Single) bool {
	if f.Kind == circuits.ModuleInside {
		return repaired == circuits.PointLocation(circuits.Point{Place: f.At.From.Place})
	}
	return repaired == f.At || !f.To.IsZero() && repaired == f.To
}

// watchLooks is how many independent looks a reading is that is watched for its lowest and highest value.
const watchLooks = 8

// loose is a fault as it is this time: a loose contact is never twice the same, so its ohms lie within half a decade of
// the hidden ones, up or down.
func loose(f circuits.Fault, random *rand.Rand) circuits.Fault {
	if f.First.Kind.TakesOhms() {
		f.First.Ohms *= math.Pow(10, random.Float64()-0.5)
	}
	return f
}

// show is one reading taken: nth counts those of the same kind before it, so that each has its own error. none says why
// there is no value; no reason where there is one.
func (m *Machine) show(r circuits.Reading, watch bool, repaired []circuits.Location, nth int) (read circuits.Reading, none network.Reason) {
	random := m.chance(circuits.ReadingKey(r)+" "+r.Wiggle, nth)
	left := m.left(repaired)
	if m.x.Hidden.Duty >= 1 || left == (circuits.Fault{}) {
		if m.x.Intermittent && plain(r) {
			r.Symptom = symptom(left != (circuits.Fault{}))
		}
		return displayed(m.x.Meter, r, m.with(left).Exact(m.x.Meter, r), random)
	}
	out := m.with(loose(left, random)).Exact(m.x.Meter, r)
	well := m.with(circuits.Fault{}).Exact(m.x.Meter, r)
	there := r.Wiggle == "" && random.Float64() < m.x.Hidden.Duty // what is moved is watched from when all is well
	caught := false
	switch {
	case r.Wiggle != "":
		at, err := m.x.Circuit.Somewhere(r.Wiggle)
		caught = err == nil && random.Float64() < evidence.JumpChance(m.x.Circuit, at, left.First)
	case watch:
		caught = random.Float64() < 1-math.Pow(1-m.x.Hidden.Duty, watchLooks)
	}
	if caught {
		return m.both(r, out, well, random)
	}
	if plain(r) && r.Wiggle == "" && !watch {
		r.Symptom = symptom(there)
	}
	if !there {
		out = well
	}
	return displayed(m.x.Meter, r, out, random)
}

// both is a reading that saw the fault come and go. Where that changes nothing at its leads, what stands there is one
// value, and only where the whole machine works while it is read does anybody know that the symptom came and went.
func (m *Machine) both(r circuits.Reading, there, away network.Outcome, random *rand.Rand) (circuits.Reading, network.Reason) {
	a, none := displayed(m.x.Meter, r, there, random)
	b, noneAway := displayed(m.x.Meter, r, away, random)
	if none.Kind != network.NoReason || noneAway.Kind != network.NoReason {
		if none.Kind == network.NoReason {
			return a, network.Reason{}
		}
		return b, noneAway
	}
	if bound := m.x.Meter.Accuracy(r.Quantity).Bound(b.Value); !a.OL && !b.OL && math.Abs(a.Value-b.Value) <= 2*bound+1e-9 && (!plain(r) || r.Wiggle != "") {
		return b, network.Reason{}
	}
	if a.Value > b.Value {
		a, b = b, a
	}
	a.High, a.OL, a.Pair = b.Value, b.OL, true
	return a, network.Reason{}
}

// plain tells whether the machine works as its operator knows it while a reading is taken, so that its complaint shows.
func plain(r circuits.Reading) bool {
	return r.State.Key != circuits.KeyOff && len(r.State.Unplugged) == 0 && len(r.State.Jumpers) == 0 && len(r.State.Loads) == 0 && r.Quantity != circuits.Ohms
}

func symptom(there bool) circuits.Symptom {
	if there {
		return circuits.SymptomThere
	}
	return circuits.SymptomAway
}

func displayed(m circuits.Meter, r circuits.Reading, out network.Outcome, random *rand.Rand) (circuits.Reading, network.Reason) {
	read, ok := trial.Displayed(m, r, out, random)
	if !ok {
		return r, out.Why
	}
	return read, network.Reason{}
}

// chance is a source of its own for one question at one time.
func (m *Machine) chance(key string, nth int) *rand.Rand {
	h := fnv.New64a()
	h.Write([]byte(key))
	return rand.New(rand.NewPCG(m.x.Hidden.Seed^h.Sum64(), uint64(nth)+2))
}
