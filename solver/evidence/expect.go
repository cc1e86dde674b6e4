package evidence

import (
	"fmt"
	"math"

	"ohmtrail/circuits"
	"ohmtrail/solver/network"
)

// Expectation is what one reading shows under one fault.
type Expectation struct {
	network.Outcome         // at nominal values
	Low, High       float64 // over tolerances, unknown stimuli and unknown ohms; NaN where there is no value at all
	CanBeOL         bool    // an ohms reading that is beyond the meter's range for some of them
}

// unknownYet is an expectation whose bounds hold nothing yet.
func unknownYet() Expectation { return Expectation{Low: math.Inf(1), High: math.Inf(-1)} }

// finish says that there is no value at all where the bounds hold none.
func (e Expectation) finish() Expectation {
	if e.Low > e.High {
		e.Low, e.High = math.NaN(), math.NaN()
	}
	return e
}

// nominalHighOhms stands for a high resistance of unknown ohms, nominalShortOhms for a short of unknown ohms.
const (
	nominalHighOhms  = 1000
	nominalShortOhms = 0
)

// Expect says what a reading of a job shows under a fault. Where the fault's ohms are not given, the nominal value is
// that of 1 kΩ in series or of a dead short, and the bounds run over all resistances.
func Expect(j *circuits.Job, r circuits.Reading, f circuits.Fault) Expectation {
	return NewExpecter(j).Expect(r, f)
}

// Expecter says what the readings of a job show, for one goroutine at a time: the circuit is laid out once for them all.
type Expecter struct {
	j     *circuits.Job
	built map[circuits.Single]*built // by the first of two faults
	hand  hand
}

// NewExpecter prepares a job.
func NewExpecter(j *circuits.Job) *Expecter {
	return &Expecter{j: j, built: map[circuits.Single]*built{}}
}

// Expect says what a reading shows under a fault; see the function of that name.
//
// Of what could be looked at it leaves out what is sure to matter little: a twentieth of the reading's own standard error, or a
// fiftieth of the way from the middle of a sound machine's bounds to their ends, whichever is more. An unknown stimulus that
// moves the reading by less from either end of its range stays where it is; a fault that moves it by less, at the nominal
// stimuli and with the unknown ones here and there, has the bounds of a sound machine. So each of the two puts an end of the
// bounds off by that much at most.
func (x *Expecter) Expect(r circuits.Reading, f circuits.Fault) Expectation {
	if r.Sound {
		f = circuits.Fault{} // it was taken on a machine that works
	}
	if !f.IsDouble() {
		return x.outlook(r, circuits.Single{}).expect(&x.hand, f.First, nil)
	}
	firsts, e := ohmsCorners(f.First), unknownYet()
	for _, first := range firsts {
		one := x.outlook(r, first).expect(&x.hand, f.Second, nil)
		if !math.IsNaN(one.Low) {
			e.Low, e.High = min(e.Low, one.Low), max(e.High, one.High)
		}
		e.CanBeOL = e.CanBeOL || one.CanBeOL
	}
	e.Outcome = x.outlook(r, withNominalOhms(f.First)).expect(&x.hand, f.Second, nil).Outcome
	return e.finish()
}

// outlook is a reading made ready, on a circuit with a fault built in, the zero fault for none.
func (x *Expecter) outlook(r circuits.Reading, there circuits.Single) *outlook {
	return x.builtWith(there).outlook(r)
}

func (x *Expecter) builtWith(there circuits.Single) *built {
	b := x.built[there]
	if b == nil {
		b = newBuilt(x.j, there)
		x.built[there] = b
	}
	return b
}

// built is a circuit, sound or with the first of two faults in it, and its readings made ready.
type built struct {
	j        *circuits.Job
	there    circuits.Single
	layout   *network.Layout
	bases    []network.Settings // machines from which bounds are looked for; see basesOf
	outlooks map[string]*outlook
}

func newBuilt(j *circuits.Job, there circuits.Single) *built {
	b := &built{j: j, there: there, outlooks: map[string]*outlook{}}
	if there == (circuits.Single{}) {
		b.layout = network.NewWideLayout(j.Circuit)
	} else {
		b.layout = network.NewWideLayout(j.Circuit, there)
	}
	b.bases = basesOf(b.layout.Parameters())
	return b
}

func (b *built) outlook(r circuits.Reading) *outlook {
	key := fmt.Sprint(r.At, r.To, r.Quantity, r.State)
	o := b.outlooks[key]
	if o == nil {
		o = newOutlook(b, r)
		b.outlooks[key] = o
	}
	return o
}
