package network

import (
	"fmt"
	"math"
	"math/big"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/read"
)

// referenceBits is the precision of the reference: 90 decimal digits, of which an elimination may lose half unseen.
const referenceBits = 300

// referenceVolts solves a netlist's nodal equations, as a textbook writes them, by elimination with exact conductances:
// every node that has a path to B-.
func referenceVolts(n *netlist, v values, tied func(int32) bool) []float64 {
	row := make([]int, len(n.points))
	count := 0
	for i := range n.points {
		row[i] = -1
		if tied(int32(i)) {
			row[i] = count
			count++
		}
	}
	m := make([][]*big.Float, count)
	for i := range m {
		m[i] = make([]*big.Float, count+1)
		for j := range m[i] {
			m[i][j] = number(0)
		}
	}
	add := func(node, other int32, x *big.Float) {
		if node >= 0 && other >= 0 && row[node] >= 0 && row[other] >= 0 {
			at := m[row[node]][row[other]]
			at.Add(at, x)
		}
	}
	inject := func(node int32, amps *big.Float) {
		if node >= 0 && row[node] >= 0 {
			at := m[row[node]][count]
			at.Add(at, amps)
		}
	}
	for _, b := range v.branches {
		g := number(b.siemens)
		minus := number(0).Neg(g)
		add(b.a, b.a, g)
		add(b.b, b.b, g)
		add(b.a, b.b, minus)
		add(b.b, b.a, minus)
		in := number(0).Mul(g, number(b.emf))
		in.Sub(in, number(b.amps))
		inject(b.a, in)
		inject(b.b, number(0).Neg(in))
	}
	for _, g := range v.gains {
		whole, supply := number(g.siemens), number(0).Mul(number(g.siemens), number(g.share))
		back := number(0).Sub(whole, supply)
		for _, x := range []struct {
			node  int32
			minus bool
		}{{g.out, false}, {g.ret, true}} {
			for _, y := range []struct {
				other int32
				g     *big.Float
				minus bool
			}{{g.out, whole, false}, {g.ret, back, true}, {g.sup, supply, true}} {
				s := number(0).Set(y.g)
				if x.minus != y.minus {
					s.Neg(s)
				}
				add(x.node, y.other, s)
			}
		}
	}
	x := eliminated(m)
	out := make([]float64, len(n.points))
	for i, r := range row {
		if r >= 0 {
			out[i], _ = x[r].Float64()
		}
	}
	return out
}

func number(x float64) *big.Float { return new(big.Float).SetPrec(referenceBits).SetFloat64(x) }

// eliminated solves a system by Gauss's elimination with the greatest pivot of each column.
func eliminated(m [][]*big.Float) []*big.Float {
	n := len(m)
	for k := range n {
		best := k
		for i := k + 1; i < n; i++ {
			if number(0).Abs(m[i][k]).Cmp(number(0).Abs(m[best][k])) > 0 {
				best = i
			}
		}
		m[k], m[best] = m[best], m[k]
		for i := k + 1; i < n; i++ {
			if m[i][k].Sign() == 0 {
				continue
			}
			f := number(0).Quo(m[i][k], m[k][k])
			for j := k; j <= n; j++ {
				if m[k][j].Sign() != 0 {
					m[i][j].Sub(m[i][j], number(0).Mul(f, m[k][j]))
				}
			}
		}
	}
	x := make([]*big.Float, n)
	for i := n - 1; i >= 0; i-- {
		x[i] = m[i][n]
		for j := i + 1; j < n; j++ {
			x[i].Sub(x[i], number(0).Mul(m[i][j], x[j]))
		}
		x[i].Quo(x[i], m[i][i])
	}
	return x
}

// referenceCircuit has wires and contacts of milliohms on the way of two sensors to inputs of any resistance.
const referenceCircuit = `format = 1
title = "milliohms beside teraohms"

[battery]
volts = 12.6

[module.M]
pins.1 = { kind = "power" }
pins.2 = { kind = "ground" }
pins.3 = { kind = "reference", volts = 5.0 }
pins.4 = { kind = "return" }
pins.5 = { kind = "input" }
pins.6 = { kind = "input", pull_up_ohms = 4700 }

[connector.C]
sides = ["body", "loom"]

[splice.S]

[ground.G]

[device.P]
kind = "ratiometric"
terminals = { supply = "1", output = "2", return = "3" }

[device.T]
kind = "thermistor"
terminals = { a = "1", b = "2" }
ohms_25 = 2000
beta = 3500

[[run]]
role = "power"
path = ["B+", "M:1"]

[[run]]
role = "ground"
path = ["M:2", "G"]

[[run]]
role = "reference"
path = ["M:3", "C:1", "P:1"]

[[run]]
role = "return"
path = ["M:4", "C:2", "S", "P:3"]

[[run]]
role = "signal"
path = ["M:5", "C:3", "P:2"]

[[run]]
role = "signal"
path = ["M:6", "C:4", "T:1"]

[[run]]
role = "return"
path = ["S", "T:2"]
`

// Opens, resistances and shorts of every wire and contact, with inputs of 1 kΩ to 1 TΩ and meters likewise, against a
// reference of ninety digits: what a prediction may be off is what doubles cannot say better.
func TestPredictionsAgainstNinetyDigits(t *testing.T) {
	compared, worst := 0, 0.0
	for _, inputOhms := range []float64{1e3, 1e6, 1e9, 1e12} {
		c, problems := read.Circuit("reference", []byte(referenceCircuit))
		if c == nil {
			t.Fatal(problems)
		}
		for i := range c.Modules[0].Pins {
			if p := &c.Modules[0].Pins[i]; p.Kind == circuits.PinInput {
				p.InputOhms = inputOhms
			}
		}
		meter := circuits.DefaultMeter()
		meter.InputOhms = max(inputOhms, 1e7)
		layout := NewWideLayout(c)
		for _, at := range []string{"M:5", "M:6", "P:2", "T:2"} {
			point, err := circuits.ParsePoint(at)
			if err == nil {
				point, err = c.Resolve(point)
			}
			if err != nil {
				t.Fatal(err)
			}
			r := circuits.Reading{At: circuits.PointLocation(point), To: circuits.BNegative, Quantity: circuits.Volts, State: circuits.State{Key: circuits.KeyOn}}
			scene := layout.Frame(meter, r).Scene(nil)
			for _, f := range referenceFaults(c) {
				var k Case
				var p Prediction
				k.Place(scene, f)
				k.Value(f.Ohms, &p)
				n := build(c, building{state: r.State, stimuli: nominal(nil), fault: faults{f}, joints: true})
				n.resistor(n.nodeOf(point), ground, meter.InputOhms)
				s, steady := n.solve(newPattern(n))
				if !steady || p.Status != Fine {
					t.Errorf("input %g Ω, %s under %s: steady %v, %+v", inputOhms, at, f, steady, p.Why)
					continue
				}
				want := referenceVolts(n, s.values, func(i int32) bool { return s.f.at(i) < 0 })[n.nodeOf(point)]
				gap := math.Abs(p.Value - want)
				worst = max(worst, gap)
				compared++
				if gap > 2e-13 {
					t.Errorf("input %g Ω, %s under %s %s: %.17g V, want %.17g V", inputOhms, at, f, fmt.Sprint(f.Ohms), p.Value, want)
				}
			}
		}
	}
	t.Logf("%d predictions, worst %.2g V off", compared, worst)
	if compared < 500 {
		t.Errorf("only %d predictions compared", compared)
	}
}

// referenceFaults are faults of every wire and contact of the ways to the sensors.
func referenceFaults(c *circuits.Circuit) []circuits.Single {
	var places []circuits.Location
	for _, w := range c.Wires {
		places = append(places, w.Location)
	}
	for _, k := range c.Contacts {
		places = append(places, k.Location)
	}
	out := []circuits.Single{{}}
	for _, at := range places {
		out = append(out, circuits.Single{Kind: circuits.Open, At: at})
		for _, ohms := range []float64{0.01, 1e3, 1e9} {
			out = append(out, circuits.Single{Kind: circuits.HighResistance, At: at, Ohms: ohms, HasOhms: true})
		}
		out = append(out, circuits.Single{Kind: circuits.ShortToGround, At: at, Ohms: 1e6, HasOhms: true},
			circuits.Single{Kind: circuits.ShortToVoltage, At: at, Ohms: 1e4, HasOhms: true})
	}
	return out
}
