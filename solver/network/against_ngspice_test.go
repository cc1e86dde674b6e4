package network

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"ohmtrail/circuits"
)

// This file measures the solver against ngspice, side by side in one run: processor time on both sides, rounds by turns, the
// medians of the rounds' ratios.
//
//	go test ./solver/network -run - -bench AgainstNgspice -benchtime 1x
//
// ngspice (Debian's) gets the very network of the sound circuit, with the parts in their states: it alters one resistor and
// solves again, fault after fault, and keeps one node's voltage, or every node's; and in the fastest way found, it sweeps the
// resistor's value and keeps one node's. What is solved here is what a dictionary of faults asks: a wire or contact opened,
// 25 resistances in it, shorts to ground and to voltage; for ten readings with the meter in place, or for every node.

// ohmsOfDictionary are 25 resistances, evenly by their logarithm.
func ohmsOfDictionary() []float64 {
	var out []float64
	for i := range 25 {
		out = append(out, 0.02*math.Pow(10e6/0.02, float64(i)/24))
	}
	return out
}

// leastSpiceOhms stands for a joint without resistance in ngspice, whose elimination loses its digits beside less.
const leastSpiceOhms = 1e-6

// spiceLines are a network's elements for ngspice; those of branches are named R and the branch's number.
func spiceLines(v values) string {
	name := func(node int32) string {
		if node < 0 {
			return "0"
		}
		return "n" + strconv.Itoa(int(node))
	}
	var b strings.Builder
	b.WriteString("sound circuit\n")
	for i, x := range v.branches {
		if x.siemens > 0 && x.a != x.b {
			fmt.Fprintf(&b, "R%d %s %s %.17g\n", i, name(x.a), name(x.b), max(1/x.siemens, leastSpiceOhms))
		}
		if amps := x.amps - x.siemens*x.emf; amps != 0 {
			fmt.Fprintf(&b, "I%d %s %s %.17g\n", i, name(x.a), name(x.b), amps)
		}
	}
	for i, g := range v.gains {
		if g.siemens > 0 {
			fmt.Fprintf(&b, "RG%d %s %s %.17g\n", i, name(g.out), name(g.ret), 1/g.siemens)
			fmt.Fprintf(&b, "G%d %s %s %s %s %.17g\n", i, name(g.ret), name(g.out), name(g.sup), name(g.ret), g.siemens*g.share)
		}
	}
	return b.String()
}

// spiceSeconds is the processor time of ngspice for a deck with these commands.
func spiceSeconds(b *testing.B, dir, lines string, commands []string) (seconds float64, said string) {
	b.Helper()
	deck := filepath.Join(dir, "deck.cir")
	text := lines + "\n.control\nset numdgt=12\n" + strings.Join(commands, "\n") + "\nquit\n.endc\n.end\n"
	if err := os.WriteFile(deck, []byte(text), 0o600); err != nil {
		b.Fatal(err)
	}
	c := exec.Command("ngspice", "-n", "-b", deck)
	out, err := c.CombinedOutput()
	if err != nil || bytes.Contains(bytes.ToLower(out), []byte("singular")) {
		b.Fatalf("ngspice: %v\n%s", err, out)
	}
	return (c.ProcessState.UserTime() + c.ProcessState.SystemTime()).Seconds(), string(out)
}

// ownSeconds is the processor time that we have used.
func ownSeconds() float64 {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		panic(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano()).Seconds()
}

// dictionary is a made harness with ten readings and what is asked of it.
type dictionary struct {
	c      *circuits.Circuit
	scenes []*Scene
	places []circuits.Location
	bare   *Scene
	nodes  int
}

func newDictionary(b testing.TB, wires int) *dictionary {
	d := &dictionary{c: madeHarness(b, wires)}
	layout := NewWideLayout(d.c)
	for _, r := range harnessReadings(d.c, 10) {
		d.scenes = append(d.scenes, layout.Frame(circuits.DefaultMeter(), r).Scene(nil))
	}
	d.bare = &Scene{frame: d.scenes[0].frame.without(), set: d.scenes[0].set}
	d.bare.solve()
	d.nodes = len(d.bare.set.p.node)
	for _, w := range d.c.Wires {
		d.places = append(d.places, w.Location)
	}
	for _, k := range d.c.Contacts {
		d.places = append(d.places, k.Location)
	}
	return d
}

// at are the faults of one place.
func (d *dictionary) at(l circuits.Location) []circuits.Single {
	out := []circuits.Single{{Kind: circuits.Open, At: l}, {Kind: circuits.ShortToGround, At: l}, {Kind: circuits.ShortToVoltage, At: l}}
	for _, ohms := range ohmsOfDictionary() {
		out = append(out, circuits.Single{Kind: circuits.HighResistance, At: l}.WithOhms(ohms))
	}
	return out
}

// faultsOfPlace is how many of them there are: 25 resistances, the open, three shorts. The third, to a neighbour, is left out
// where there is none, and not counted.
func (d *dictionary) faultsOfPlace() int { return len(d.at(d.places[0])) }

// onReadings asks ten readings about all faults of a place.
func (d *dictionary) onReadings(k *Case, p *Prediction, l circuits.Location) {
	for _, s := range d.scenes {
		for _, f := range d.at(l)[:3] {
			k.Place(s, f)
			k.Value(0, p)
		}
		k.Place(s, circuits.Single{Kind: circuits.HighResistance, At: l})
		for _, ohms := range ohmsOfDictionary() {
			k.Value(ohms, p)
		}
	}
}

// onNodes reckons every node's voltage under all faults of a place, and gives a sum of them so that none is left out.
func (d *dictionary) onNodes(k *Case, l circuits.Location) (sum float64) {
	look := func(ohms float64) {
		desk := d.bare.set.p.desk()
		if m, _ := k.settle(desk, ohms, 0); m != nil {
			for node := range d.nodes {
				sum += desk.volt(int32(node))
			}
		}
		d.bare.set.p.giveBack(desk)
	}
	for _, f := range d.at(l)[:3] {
		k.Place(d.bare, f)
		look(0)
	}
	k.Place(d.bare, circuits.Single{Kind: circuits.HighResistance, At: l})
	for _, ohms := range ohmsOfDictionary() {
		look(ohms)
	}
	return sum
}

func median(list []float64) float64 {
	slices.Sort(list)
	return list[len(list)/2]
}

// BenchmarkAgainstNgspice measures at five sizes, in less than half a minute. The metrics, µs/fault being ours for one fault on
// ten readings:
//
//	times-alter             how often that goes into one "alter" and "op" of ngspice, which answers without a meter
//	times-sweep             how often it goes into one point of ngspice's sweep
//	times-alter-every-node  how often all nodes' voltages under a fault go into an "alter" and "op" that keeps them all
//	ops-for-all             how many operating points of ngspice all faults take, all places, on ten readings
//	exponent                how that time grows from the size before
//	MB                      what the process has taken from the system
func BenchmarkAgainstNgspice(b *testing.B) {
	if _, err := exec.LookPath("ngspice"); err != nil {
		b.Skip("ngspice is not installed (Debian: apt install ngspice)")
	}
	const rounds = 3
	type size struct{ wires, alters, sweeps, places int }
	var last, lastWires float64
	for _, s := range []size{{40, 1500, 400, 300}, {85, 1000, 200, 300}, {300, 300, 60, 300}, {1014, 100, 20, 150}, {3013, 25, 5, 150}} {
		b.Run(strconv.Itoa(s.wires), func(b *testing.B) {
			d := newDictionary(b, s.wires)
			random := rand.New(rand.NewPCG(1, uint64(s.wires)))
			v := d.bare.set.sound[len(d.bare.set.sound)-1].values
			lines, dir := spiceLines(v), b.TempDir()
			// The deck is the same circuit: its nodes stand where ours do.
			check := random.IntN(d.nodes)
			one := lines + ".save v(n1)\n" // the others are not kept
			loading, said := spiceSeconds(b, dir, lines, []string{"op", fmt.Sprintf("print v(n%d)", check)})
			if got, want := printed(said), d.bare.set.sound[len(d.bare.set.sound)-1].volt(int32(check)); math.Abs(got-want) > 1e-4 {
				b.Fatalf("node %d: ngspice has %g V, the solver %g V", check, got, want)
			}
			place := func() circuits.Location { return d.places[random.IntN(len(d.places))] }
			branchOf := func(l circuits.Location) int { return d.bare.set.net.series[l] }
			var toAlter, toSweep, toNodes, toOne, own []float64
			for b.Loop() {
				for range rounds {
					commands := []string{"op", "destroy all"}
					for range s.alters {
						i := branchOf(place())
						commands = append(commands, fmt.Sprintf("alter r%d = 470", i), "op", "destroy all", fmt.Sprintf("alter r%d = %.17g", i, 1/v.branches[i].siemens))
					}
					spice := func(lines string, faults int) float64 {
						t, _ := spiceSeconds(b, dir, lines, commands)
						return (t - loading) / float64(faults)
					}
					alter, alterAll := spice(one, s.alters), spice(lines, s.alters)
					commands = commands[:2]
					for range s.sweeps {
						commands = append(commands, fmt.Sprintf("dc r%d 1 1001 40", branchOf(place())), "destroy all")
					}
					sweep := spice(one, s.sweeps*26)
					var k Case
					var p Prediction
					begun := ownSeconds()
					for range s.places {
						d.onReadings(&k, &p, place())
					}
					fault := (ownSeconds() - begun) / float64(s.places*d.faultsOfPlace())
					begun = ownSeconds()
					for range s.places / 3 {
						d.onNodes(&k, place())
					}
					nodes := (ownSeconds() - begun) / float64(s.places/3*d.faultsOfPlace())
					toAlter, toSweep, toNodes = append(toAlter, alter/fault), append(toSweep, sweep/fault), append(toNodes, alterAll/nodes)
					toOne = append(toOne, fault*float64(len(d.places)*d.faultsOfPlace())/alter)
					own = append(own, fault)
				}
			}
			faults := float64(len(d.places) * d.faultsOfPlace())
			fault := median(own)
			b.ReportMetric(0, "ns/op")
			b.ReportMetric(float64(d.nodes), "nodes")
			b.ReportMetric(faults, "faults")
			b.ReportMetric(fault*1e6, "µs/fault")
			b.ReportMetric(median(toAlter), "times-alter")
			b.ReportMetric(median(toSweep), "times-sweep")
			b.ReportMetric(median(toNodes), "times-alter-every-node")
			b.ReportMetric(median(toOne), "ops-for-all")
			if last > 0 {
				b.ReportMetric(math.Log(fault*faults/last)/math.Log(float64(s.wires)/lastWires), "exponent")
			}
			last, lastWires = fault*faults, float64(s.wires)
			var memory runtime.MemStats
			runtime.ReadMemStats(&memory)
			b.ReportMetric(float64(memory.Sys)/1e6, "MB")
		})
	}
}

// printed is the value of the last "v(…) = …" that ngspice has printed.
func printed(said string) float64 {
	v := math.NaN()
	for _, line := range strings.Split(said, "\n") {
		if name, value, ok := strings.Cut(line, " = "); ok && strings.HasPrefix(name, "v(") {
			if x, err := strconv.ParseFloat(strings.TrimSpace(value), 64); err == nil {
				v = x
			}
		}
	}
	return v
}
