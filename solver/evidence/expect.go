package evidence

import (
	"math"

	"ohmtrail/circuits"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/network"
)

// Expectation is what one reading shows under one fault.
type Expectation struct {
	network.Outcome         // at nominal values
	Low, High       float64 // over tolerances, unknown stimuli and unknown ohms; NaN where there is no value at all
	CanBeOL         bool    // an ohms reading that is beyond the meter's range for some of them
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

// Expecter says what the readings of a job show: the circuit is laid out once for them all.
type Expecter struct {
	j       *circuits.Job
	layouts map[circuits.Single]*network.Layout // by the fault that is built in
	bases   []network.Settings                  // machines from which bounds are looked for; see basesOf
}

// NewExpecter prepares a job.
func NewExpecter(j *circuits.Job) *Expecter {
	return &Expecter{j: j, layouts: map[circuits.Single]*network.Layout{}}
}

// layout is the circuit with a fault built in, the zero fault for none.
func (x *Expecter) layout(there circuits.Single) *network.Layout {
	l := x.layouts[there]
	if l == nil {
		if there == (circuits.Single{}) {
			l = network.NewWideLayout(x.j.Circuit)
		} else {
			l = network.NewWideLayout(x.j.Circuit, there)
		}
		x.layouts[there] = l
		if x.bases == nil {
			x.bases = basesOf(l.Parameters())
		}
	}
	return l
}

// basesOf are the machine in the middle of all widths, one whose sensors need much of their supply, and one whose sensors
// need little: a fault may leave the one without its supply and the other not, and no line leads across.
func basesOf(parameters []network.Parameter) []network.Settings {
	out := make([]network.Settings, 3)
	for k, share := range []float64{0.5, 0.9, 0.1} {
		out[k] = network.Draw(parameters, func() float64 { return 0.5 })
		for i, p := range parameters {
			switch {
			case p.Key == "min_supply_volts":
				out[k][i] = p.At(share)
			case p.Key == "supply_ohms" && p.Kind == network.Inside:
				out[k][i] = p.At(1 - share)
			}
		}
	}
	return out
}

// Expect says what a reading shows under a fault; see the function of that name.
func (x *Expecter) Expect(r circuits.Reading, f circuits.Fault) Expectation {
	j := x.j
	e := Expectation{Low: math.Inf(1), High: math.Inf(-1)}
	nominal := map[string]float64{}
	for i := range j.Circuit.Devices {
		d := &j.Circuit.Devices[i]
		nominal[d.Name] = d.Nominal()
		if v, ok := j.SetOf(r, d); ok {
			nominal[d.Name] = v
		}
	}
	e.Outcome = network.Read(j.Circuit, j.Meter, r, wrongStimulus(j.Circuit, f, nominal), withNominalOhms(f))
	corners := ohmsCorners(f)
	for _, set := range stimulusCorners(j, r, f, nominal) {
		for _, g := range corners {
			there, placed := circuits.Single{}, g.First
			if f.IsDouble() {
				there, placed = g.First, g.Second
			}
			e.cover(r, j, span{layout: x.layout(there), frame: x.layout(there).Frame(j.Meter, r), set: set, fault: placed}, x.bases)
		}
	}
	if e.Low > e.High {
		e.Low, e.High = math.NaN(), math.NaN()
	}
	return e
}

// span is one setting of a reading whose value the widths of the machine spread.
type span struct {
	layout *network.Layout
	frame  *network.Frame
	set    map[string]float64
	fault  circuits.Single
}

// on is what the reading shows on a machine.
func (s span) on(numbers network.Settings, sens bool) network.Prediction {
	var c network.Case
	var p network.Prediction
	c.Place(s.frame.SceneOf(s.set, numbers), s.fault)
	if sens {
		c.At(s.fault.Ohms, &p)
	} else {
		c.Value(s.fault.Ohms, &p)
	}
	return p
}

// How many standard deviations to either side hold 95 %: 0.95·√3 of a uniform variable, and of a sum of many that weigh
// alike as of the normal distribution. Of two that weigh alike it is (1 − √0.05)·√6, which the power below hits.
const (
	uniformReach = 0.95 * 1.7320508075688772
	normalReach  = 1.959963984540054
	reachPower   = 2.5
)

// spread is the standard deviation that all widths together give a prediction, and how many of them to either side hold
// 95 %.
func spread(p *network.Prediction, parameters []network.Parameter) (reach, deviation float64) {
	squares, fourths := 0.0, 0.0
	for i, x := range p.Sens {
		if parameters[i].Kind != network.Stimulus {
			squares += x * x
			fourths += x * x * x * x
		}
	}
	if squares == 0 {
		return 0, 0
	}
	return normalReach - (normalReach-uniformReach)*math.Pow(fourths/(squares*squares), reachPower), math.Sqrt(squares)
}

// bounds are the values that hold 95 % of the machines. They are those of the two machines that lie farthest out among the
// likely ones: from the middle of all widths along the sensitivities there, as far as 95 % of a straight line reach. The
// values themselves are reckoned, so a bend of the law on the way counts.
func (s span) bounds(middle network.Settings) (low, high network.Prediction) {
	p := s.on(middle, true)
	if p.Status != network.Fine {
		return p, p
	}
	parameters := s.layout.Parameters()
	reach, deviation := spread(&p, parameters)
	if deviation == 0 {
		return p, p
	}
	ends := [2]network.Prediction{}
	for end, sign := range []float64{-1, 1} {
		numbers := append(network.Settings(nil), middle...)
		for i, x := range p.Sens {
			if q := &parameters[i]; q.Kind != network.Stimulus && x != 0 {
				numbers[i] = min(max(q.Moved(middle[i], sign*reach*x/deviation), q.Low), q.High)
			}
		}
		ends[end] = s.on(numbers, false)
		if ends[end].Status == network.NoValue || ends[end].Status == network.Fine && sign*(ends[end].Value-p.Value) < -0.2*reach*deviation {
			ends[end] = p // a sensor or module changes its state on the way: the straight line is all that is known
			ends[end].Value += sign * reach * deviation
		}
	}
	return ends[0], ends[1]
}

// cover widens the bounds by one setting of ohms and stimuli.
func (e *Expectation) cover(r circuits.Reading, j *circuits.Job, s span, bases []network.Settings) {
	e.hold(r, j, s.on(nil, false))
	own := Expectation{Low: math.Inf(1), High: math.Inf(-1)} // of this setting alone
	for i, base := range bases {
		if i > 0 {
			p := s.on(base, false)
			if p.Status != network.Fine || p.Value >= own.Low && p.Value <= own.High {
				continue
			}
		}
		low, high := s.bounds(base)
		own.hold(r, j, low)
		own.hold(r, j, high)
	}
	e.Low, e.High, e.CanBeOL = min(e.Low, own.Low), max(e.High, own.High), e.CanBeOL || own.CanBeOL
}

// hold widens the bounds by a prediction.
func (e *Expectation) hold(r circuits.Reading, j *circuits.Job, p network.Prediction) {
	switch p.Status {
	case network.OverRange:
		e.CanBeOL = true
		return
	case network.NoValue:
		return
	}
	v := p.Value
	if r.Quantity == circuits.ScanVolts {
		v = network.Shown(*j.Circuit.Pin(r.Point()), v)
	}
	e.Low, e.High = min(e.Low, v), max(e.High, v)
}

// withNominalOhms gives a fault of unknown ohms its nominal ones.
func withNominalOhms(f circuits.Fault) circuits.Fault {
	give := func(s circuits.Single) circuits.Single {
		switch {
		case s.HasOhms || !s.Kind.TakesOhms():
			return s
		case s.Kind == circuits.HighResistance:
			return s.WithOhms(nominalHighOhms)
		}
		return s.WithOhms(nominalShortOhms)
	}
	return circuits.Fault{First: give(f.First), Second: give(f.Second)}
}

// ohmsCorners are the resistances to look at: from next to nothing to next to an open, or the fault's own.
func ohmsCorners(f circuits.Fault) []circuits.Fault {
	out := []circuits.Fault{f}
	for _, pick := range []func(*circuits.Fault) *circuits.Single{
		func(f *circuits.Fault) *circuits.Single { return &f.First },
		func(f *circuits.Fault) *circuits.Single { return &f.Second },
	} {
		var next []circuits.Fault
		for _, g := range out {
			s := pick(&g)
			if s.HasOhms || !s.Kind.TakesOhms() {
				next = append(next, g)
				continue
			}
			low, high := 0.02, 10e6
			if s.Kind != circuits.HighResistance {
				low, high = 0, 1e5
			}
			for _, ohms := range []float64{low, 10, 300, 10e3, high} {
				h := g
				*pick(&h) = s.WithOhms(ohms)
				next = append(next, h)
			}
		}
		out = next
	}
	return out
}

// stimulusCorners are the settings to look at: nominal, and each unknown stimulus at either end of its range.
func stimulusCorners(j *circuits.Job, r circuits.Reading, f circuits.Fault, nominal map[string]float64) []map[string]float64 {
	out := []map[string]float64{wrongStimulus(j.Circuit, f, nominal)}
	for i := range j.Circuit.Devices {
		d := &j.Circuit.Devices[i]
		_, known := j.SetOf(r, d)
		wrong := hypothesis.ReadsWrong(f, d.Name)
		if !d.Kind.HasStimulus() || known && !wrong {
			continue
		}
		for _, v := range d.Range {
			set := map[string]float64{}
			for k, s := range out[0] {
				set[k] = s
			}
			set[d.Name] = v
			out = append(out, set)
		}
	}
	return out
}

// wrongStimulus is the setting with a sensor that reads wrong at another stimulus than the true one: the end of its
// range that is farther away (the middle of the range is what an unknown stimulus has anyway).
func wrongStimulus(c *circuits.Circuit, f circuits.Fault, set map[string]float64) map[string]float64 {
	out := map[string]float64{}
	for k, v := range set {
		out[k] = v
	}
	for i := range c.Devices {
		d := &c.Devices[i]
		if !hypothesis.ReadsWrong(f, d.Name) {
			continue
		}
		if set[d.Name]-d.Range[0] > d.Range[1]-set[d.Name] {
			out[d.Name] = d.Range[0]
		} else {
			out[d.Name] = d.Range[1]
		}
	}
	return out
}
