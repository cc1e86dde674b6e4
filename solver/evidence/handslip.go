package evidence

import (
	"math"
	"slices"
	"sort"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/solver/network"
)

// HandSlip is something that a hand did otherwise than the job says, and that explains a reading which does not fit.
type HandSlip struct {
	Kind       HandSlipKind
	What       string // the plug, or the point, that it was done at; "" where the kind says it all
	Likelihood float64
}

// HandSlipKind says what was done otherwise.
type HandSlipKind uint8

// The slips of a hand.
const (
	StillUnplugged HandSlipKind = iota // a plug that the job has plugged in
	StillPlugged                       // a plug that the job has apart
	JumperStillOn                      // a jumper of another reading
	JumperOff                          // the reading's own jumper does not touch
	LoadOff                            // its load does not touch
	OtherHalf                          // the lead stood on the other half of a plug that is apart
	NextCavity                         // the lead stood in a neighbouring cavity
	LeadsChanged                       // red and black changed over
	KeyOther                           // the key was as What says
	Thousandfold                       // mV for V, kΩ for Ω, or the reverse
)

// priors of slips, each in a hundred readings of a meter (ours; no published count is known to us). A scan value is read without leads.
var slipPrior = [...]float64{
	StillUnplugged: 0.01, StillPlugged: 0.005, JumperStillOn: 0.005, JumperOff: 0.02, LoadOff: 0.01, OtherHalf: 0.01, NextCavity: 0.01,
	LeadsChanged: 0.01, KeyOther: 0.01, Thousandfold: 0.005,
}

// HandSlips are the slips that explain the i-th reading of a job under a fault better than a value that could be anything does, the
// likeliest first.
func (x *Expecter) HandSlips(i int, f circuits.Fault) []HandSlip {
	r := x.j.Readings[i]
	o := newObservation(x.j, i)
	var out []HandSlip
	for _, t := range x.slipped(r) {
		p := slipPrior[t.Kind] * x.showsAs(t.reading, f)
		if t.Kind == Thousandfold && !r.OL {
			p *= math.Abs(t.reading.Value / r.Value) // a density by what was read
		}
		if p > o.misread()*o.broad(o.value) {
			t.Likelihood = p
			out = append(out, t.HandSlip)
		}
	}
	sort.SliceStable(out, func(a, b int) bool { return out[a].Likelihood > out[b].Likelihood })
	return out
}

// showsAs is the density of a reading's value under a fault: even over what its machine may show.
func (x *Expecter) showsAs(r circuits.Reading, f circuits.Fault) float64 {
	e := x.Expect(r, f)
	if r.OL {
		if e.Status == network.OverRange || e.CanBeOL {
			return 1
		}
		return 0
	}
	if math.IsNaN(e.Low) {
		return 0
	}
	from, to := e.Low-errorAt(x.j, r, e.Low), e.High+errorAt(x.j, r, e.High)
	if r.Value < from || r.Value > to {
		return 0
	}
	return 1 / (to - from)
}

// slip is a reading as it was taken by a slip.
type slip struct {
	HandSlip
	reading circuits.Reading
}

// slipped lists how a reading may have been taken otherwise than the job says.
func (x *Expecter) slipped(r circuits.Reading) []slip {
	var out []slip
	add := func(kind HandSlipKind, what string, change func(*circuits.Reading)) {
		other := r
		other.State.Unplugged = slices.Clone(r.State.Unplugged)
		other.State.Jumpers = slices.Clone(r.State.Jumpers)
		other.State.Loads = slices.Clone(r.State.Loads)
		if change(&other); !onApartHalf(other) {
			out = append(out, slip{HandSlip{kind, what, 0}, other})
		}
	}
	for _, u := range x.oftenApart(r) {
		add(StillUnplugged, u, func(o *circuits.Reading) { o.State.Unplugged = append(o.State.Unplugged, u) })
	}
	for k, u := range r.State.Unplugged {
		add(StillPlugged, u, func(o *circuits.Reading) { o.State.Unplugged = slices.Delete(o.State.Unplugged, k, k+1) })
	}
	for k, j := range r.State.Jumpers {
		add(JumperOff, j[0].String(), func(o *circuits.Reading) { o.State.Jumpers = slices.Delete(o.State.Jumpers, k, k+1) })
	}
	for k, l := range r.State.Loads {
		add(LoadOff, l.To.String(), func(o *circuits.Reading) { o.State.Loads = slices.Delete(o.State.Loads, k, k+1) })
	}
	for _, other := range x.j.Readings {
		for _, j := range other.State.Jumpers {
			if other.Taken && !slices.Contains(r.State.Jumpers, j) && !slices.ContainsFunc(out, func(s slip) bool { return s.Kind == JumperStillOn && s.What == j[0].String() }) {
				add(JumperStillOn, j[0].String(), func(o *circuits.Reading) { o.State.Jumpers = append(o.State.Jumpers, j) })
			}
		}
	}
	if key := otherKey(r.State.Key); key != r.State.Key {
		add(KeyOther, string(key), func(o *circuits.Reading) { o.State.Key = key })
	}
	if r.Quantity == circuits.ScanVolts || r.Quantity == circuits.Amps {
		return out
	}
	for _, side := range x.otherHalf(r.Point()) {
		add(OtherHalf, side.String(), func(o *circuits.Reading) { o.At.From = side })
	}
	for _, p := range x.beside(r.Point()) {
		add(NextCavity, p.String(), func(o *circuits.Reading) { o.At.From = p })
	}
	if r.Quantity == circuits.Volts {
		add(LeadsChanged, "", func(o *circuits.Reading) { o.Value = -o.Value })
	}
	for _, times := range []float64{1e-3, 1e3} {
		add(Thousandfold, "", func(o *circuits.Reading) { o.Value *= times })
	}
	return out
}

// otherKey is what the key may have been by a slip: nobody overlooks that an engine runs.
func otherKey(key circuits.Key) circuits.Key {
	switch key {
	case circuits.KeyOff:
		return circuits.KeyOn
	case circuits.KeyOn:
		return circuits.KeyOff
	}
	return key
}

// oftenApart are the plugs that may have been left apart: those that another reading of the job has apart, and those of the parts that
// this one is taken at.
func (x *Expecter) oftenApart(r circuits.Reading) []string {
	var out []string
	add := func(name string) {
		if name != "" && !slices.Contains(out, name) && !slices.Contains(r.State.Unplugged, name) {
			out = append(out, name)
		}
	}
	for _, other := range x.j.Readings {
		if other.Taken && !other.Sound {
			for _, u := range other.State.Unplugged {
				add(u)
			}
		}
	}
	for _, p := range []circuits.Point{r.Point(), r.To} {
		if p.Cavity != "" {
			add(x.j.Circuit.PlugOf(p))
		}
	}
	return out
}

// otherHalf is the same cavity on the other half of an in-line connector.
func (x *Expecter) otherHalf(p circuits.Point) []circuits.Point {
	k := x.j.Circuit.Connector(p.Place)
	if k == nil {
		return nil
	}
	for n, side := range k.Sides {
		if p.Side == side || p.Side == "" && n == 0 {
			p.Side = k.Sides[1-n]
			return []circuits.Point{p}
		}
	}
	return nil
}

// beside are the cavities before and behind a point's, in the order in which its plug numbers them.
func (x *Expecter) beside(p circuits.Point) []circuits.Point {
	var ways []circuits.Point
	for _, k := range x.j.Circuit.Contacts {
		if q := k.Location.From; x.j.Circuit.PlugOf(q) == x.j.Circuit.PlugOf(p) {
			ways = append(ways, q)
		}
	}
	sort.Slice(ways, func(a, b int) bool {
		if x, y := ways[a].Cavity, ways[b].Cavity; len(x) != len(y) {
			return len(x) < len(y) // 9 stands before 10
		} else {
			return x < y
		}
	})
	var out []circuits.Point
	for i, q := range ways {
		if q.Cavity != p.Cavity || q.Place != p.Place {
			continue
		}
		for _, k := range []int{i - 1, i + 1} {
			if k >= 0 && k < len(ways) {
				next := ways[k]
				next.Side = p.Side
				out = append(out, next)
			}
		}
	}
	return out
}

// onApartHalf tells whether a lead stands on a part's own pin while the part is plugged in, where no lead can.
func onApartHalf(r circuits.Reading) bool {
	for _, p := range []circuits.Point{r.Point(), r.To} {
		if p.Side == "device" && !slices.ContainsFunc(r.State.Unplugged, func(u string) bool { return u == p.Place || strings.HasPrefix(u, p.Place+".") }) {
			return true
		}
	}
	return false
}
