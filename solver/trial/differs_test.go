package trial

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"sort"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/network"
	"ohmtrail/solver/rank"
)

// Machines that differ from their file: nobody at a machine knows a module's pull-up, a sensor's inner resistance or today's
// battery. Every test here ranks readings of a machine whose numbers are others than the file's.

// other is a copy of a circuit whose parts can be given other numbers.
func other(c *circuits.Circuit, change func(own *circuits.Circuit)) *circuits.Circuit {
	own := *c
	own.Modules = append([]circuits.Module(nil), c.Modules...)
	for i := range own.Modules {
		own.Modules[i].Pins = append([]circuits.Pin(nil), c.Modules[i].Pins...)
	}
	own.Devices = append([]circuits.Device(nil), c.Devices...)
	change(&own)
	return &own
}

// eachPin changes the pins of a copied circuit.
func eachPin(own *circuits.Circuit, change func(p *circuits.Pin)) {
	for i := range own.Modules {
		for k := range own.Modules[i].Pins {
			change(&own.Modules[i].Pins[k])
		}
	}
}

// seen are the readings of a machine as a good meter shows them: exact, but for what its display rounds.
func seen(own *circuits.Circuit, f circuits.Fault, stimuli map[string]float64, readings ...circuits.Reading) []circuits.Reading {
	var out []circuits.Reading
	m := circuits.DefaultMeter()
	v := &Vehicle{Fault: f, Stimuli: stimuli, circuit: own, random: rand.New(rand.NewPCG(1, 1))}
	for _, r := range readings {
		o := network.Read(own, m, r, v.At(r), f)
		switch {
		case o.Status == network.OverRange:
			r.OL, r.Value = true, m.MaxOhms
		case o.Status == network.NoValue && o.Why.Kind == network.Floating:
		case o.Status == network.NoValue:
			continue
		case r.Quantity == circuits.ScanVolts:
			r.Value = o.Value
		default:
			r.Value = shown(o.Value, r.Quantity)
		}
		r.Taken, r.High = true, r.Value
		out = append(out, r)
	}
	return out
}

func volts(at circuits.Point) circuits.Reading {
	return circuits.Reading{At: circuits.PointLocation(at), To: circuits.BNegative, Quantity: circuits.Volts, State: circuits.State{Key: circuits.KeyOn}}
}

// scans are the scan values of a circuit's inputs.
func scans(c *circuits.Circuit) []circuits.Reading {
	var out []circuits.Reading
	for _, m := range c.Modules {
		for _, p := range m.Pins {
			if p.Kind == circuits.PinInput && c.Contact(circuits.PointLocation(p.Point())) != nil {
				r := volts(p.Point())
				r.Quantity = circuits.ScanVolts
				out = append(out, r)
			}
		}
	}
	return out
}

func jobOf(c *circuits.Circuit, assume map[string]float64, readings []circuits.Reading) *circuits.Job {
	if assume == nil {
		assume = map[string]float64{}
	}
	return &circuits.Job{File: "differs", Circuit: c, Meter: circuits.DefaultMeter(), Assume: assume, Readings: readings}
}

// nominals are the stimuli in the middle of their ranges.
func nominals(c *circuits.Circuit) map[string]float64 {
	out := map[string]float64{}
	for i := range c.Devices {
		if d := &c.Devices[i]; d.Kind.HasStimulus() {
			out[d.Name] = d.Nominal()
		}
	}
	return out
}

// lead is a short word for what leads a ranking.
func lead(r rank.Ranking) string {
	return fmt.Sprintf("%s %.3f (group %.3f of %d)", r.Candidates[0].Name(), r.Candidates[0].Probability, r.Groups[0].Probability, len(r.Groups[0].Faults))
}

// healthyLeads tells whether the leading group holds "healthy", and how likely any one faulty place is.
func healthyLeads(r rank.Ranking) (leads bool, place float64) {
	for _, c := range r.Groups[0].Faults {
		leads = leads || c.Fault.Kind == circuits.Healthy
	}
	odds := map[hypothesis.Place]float64{}
	for _, c := range r.Candidates {
		if c.Fault.Kind != circuits.Healthy && c.Fault.Kind != circuits.Unlisted {
			odds[c.Place()] += c.Probability
			place = max(place, odds[c.Place()])
		}
	}
	return leads, place
}

// differing are circuits of the library that are not pyrotechnic.
func differing(want int) []*circuits.Circuit {
	var out []*circuits.Circuit
	for _, name := range library.Names() {
		if c := circuitNamed(name); !c.Pyrotechnic && len(out) < want {
			out = append(out, c)
		}
	}
	return out
}

// A battery 3 % lower or higher than the file's, read at its posts, makes no fault of a sound machine.
func TestAnotherBatteryIsNoFault(t *testing.T) {
	for _, c := range differing(12) {
		for _, k := range []float64{0.97, 1.03} {
			own := other(c, func(own *circuits.Circuit) { own.Battery.Volts *= k; own.Battery.RunningVolts *= k })
			readings := append([]circuits.Reading{volts(circuits.BPositive)}, scans(c)...)
			for i := range c.Contacts {
				if i%max(1, len(c.Contacts)/4) == 0 {
					readings = append(readings, volts(c.Contacts[i].First))
				}
			}
			set := nominals(c)
			r := rank.Rank(jobOf(c, set, seen(own, circuits.Fault{}, set, readings...)))
			if leads, place := healthyLeads(r); !leads || place > 0.5 {
				t.Errorf("%s, battery × %g: %s", c.File, k, lead(r))
			}
		}
	}
}

// opensOf are six opens of a circuit, evenly over its wires and contacts that carry a signal or a return.
func opensOf(c *circuits.Circuit, count int) []circuits.Single {
	var all, out []circuits.Single
	for _, run := range c.Runs {
		if run.Role == "power" || run.Role == "ground" {
			continue
		}
		for _, w := range run.Wires {
			all = append(all, circuits.Single{Kind: circuits.Open, At: c.Wires[w].Location})
		}
	}
	for i := range count {
		if len(all) > 0 {
			out = append(out, all[i*len(all)/count])
		}
	}
	return out
}

// differingJobs ranks opens of circuits on machines that were changed, with scan values and volts around the break.
func differingJobs(t *testing.T, circuitsUsed []*circuits.Circuit, each int, change func(own *circuits.Circuit)) (jobs, leading, wrong int) {
	for _, c := range circuitsUsed {
		own := other(c, change)
		for n, f := range opensOf(c, each) {
			set := nominals(c)
			w := c.Wire(f.At)
			readings := append(scans(c), volts(w.From), volts(w.To))
			r := rank.Rank(jobOf(c, set, seen(own, circuits.Fault{First: f}, set, readings...)))
			jobs++
			if groupNames(r.Groups[0], f) {
				leading++
			} else {
				t.Logf("%s: %s: %s", c.File, f, lead(r))
				if r.Groups[0].Probability >= 0.9 {
					wrong++
				}
			}
			_ = n
		}
	}
	return jobs, leading, wrong
}

// Opens lead although the module's pull-ups are half or twice what the file says.
func TestOtherPullUpsMislead(t *testing.T) {
	var with []*circuits.Circuit
	for _, c := range differing(40) {
		pulls := false
		for _, m := range c.Modules {
			for _, p := range m.Pins {
				pulls = pulls || p.Kind == circuits.PinInput && p.PullUpOhms > 0
			}
		}
		if pulls && len(with) < 11 {
			with = append(with, c)
		}
	}
	for _, k := range []float64{0.5, 2} {
		jobs, leading, wrong := differingJobs(t, with, 6, func(own *circuits.Circuit) {
			eachPin(own, func(p *circuits.Pin) { p.PullUpOhms *= k })
		})
		t.Logf("pull-ups × %g: %d jobs, truth leads %d, wrong at 90 %% %d", k, jobs, leading, wrong)
		if leading < jobs-6 || wrong > 0 { // wanted are 64; what is missing falls to groups that are larger
			t.Errorf("pull-ups × %g: truth leads %d of %d, %d wrong at 90 %%", k, leading, jobs, wrong)
		}
	}
}

// A bus whose bias is 30 to 40 kΩ.
func TestOtherBusBias(t *testing.T) {
	c := circuitNamed("can-pair")
	for _, ohms := range []float64{30e3, 40e3} {
		jobs, leading, wrong := differingJobs(t, []*circuits.Circuit{c}, 4, func(own *circuits.Circuit) {
			eachPin(own, func(p *circuits.Pin) { p.BiasOhms = ohms })
		})
		if leading < jobs || wrong > 0 {
			t.Errorf("bias %g: truth leads %d of %d, wrong %d", ohms, leading, jobs, wrong)
		}
	}
}

// A sound thermistor at a hundred temperatures that nobody knows, its scan value, volts and ohms read, is no fault.
func TestSoundThermistorAtEveryTemperature(t *testing.T) {
	for _, name := range []string{"coolant-temperature", "intake-air-temperature"} {
		c := circuitNamed(name)
		d := c.Devices[0]
		worst := 0.0
		for k := range 50 {
			at := d.Range[0] + (float64(k)+0.5)/50*(d.Range[1]-d.Range[0])
			set := map[string]float64{d.Name: at}
			signal := circuits.Point{Place: d.Name, Cavity: d.Terminals[0].Cavity}
			ohms := circuits.Reading{At: circuits.PointLocation(circuits.Point{Place: d.Name, Cavity: d.Terminals[0].Cavity, Side: "device"}),
				To: circuits.Point{Place: d.Name, Cavity: d.Terminals[1].Cavity, Side: "device"}, Quantity: circuits.Ohms, State: circuits.State{Key: circuits.KeyOff, Unplugged: []string{d.Name}}}
			r := rank.Rank(jobOf(c, nil, seen(c, circuits.Fault{}, set, append(scans(c), volts(signal), ohms)...)))
			leads, place := healthyLeads(r)
			worst = max(worst, place)
			if !leads || place > 0.5 {
				t.Errorf("%s at %.1f °C: %s", name, at, lead(r))
			}
		}
		t.Logf("%s: likeliest faulty place %.3f at worst", name, worst)
	}
}

// The last step of a converter changes the odds of the opens by less than ten.
func TestAStepOfTheConverterIsNoEvidence(t *testing.T) {
	for _, c := range []struct {
		circuit, at  string
		one, another float64
	}{{"coolant-temperature", "ECU:A12", 5.00, 4.98}, {"pressure-three-wire", "", 0.006, 0}} {
		circuit := circuitNamed(c.circuit)
		odds := func(v float64) float64 {
			r := scans(circuit)[0]
			r.Taken, r.Value, r.High = true, v, v
			ranking := rank.Rank(jobOf(circuit, nil, []circuits.Reading{r}))
			p := 0.0
			for _, k := range ranking.Candidates {
				if k.Fault.Kind == circuits.Open {
					p += k.Probability
				}
			}
			return p / (1 - p)
		}
		if a, b := odds(c.one), odds(c.another); math.Abs(math.Log(a/b)) > math.Log(10) {
			t.Errorf("%s: %g V gives the opens odds of %.3g, %g V %.3g", c.circuit, c.one, a, c.another, b)
		}
	}
}

// A joint of a signal that parts while it is moved, the stimulus unknown and nothing said of coming and going, is among the leading.
func TestAMovedOpenLeads(t *testing.T) {
	jobs, leading := 0, 0
	for _, name := range []string{"coolant-temperature", "pressure-three-wire", "throttle-potentiometer", "manifold-pressure", "intake-air-temperature", "hydraulic-pressure-24v", "refrigerant-pressure"} {
		c := circuitNamed(name)
		for i := range c.Contacts {
			k := &c.Contacts[i]
			if c.Connector(k.Place) == nil {
				continue
			}
			f := circuits.Single{Kind: circuits.Open, At: k.Location}
			for _, scan := range scans(c) {
				set := nominals(c)
				well, ill := seen(c, circuits.Fault{}, set, scan), seen(c, circuits.Fault{First: f}, set, scan)
				if len(well) == 0 || len(ill) == 0 || math.Abs(well[0].Value-ill[0].Value) < 0.2 {
					continue
				}
				r := well[0]
				r.Value, r.High, r.Pair, r.Wiggle = min(well[0].Value, ill[0].Value), max(well[0].Value, ill[0].Value), true, k.Place
				ranking := rank.Rank(jobOf(c, nil, []circuits.Reading{r}))
				jobs++
				if groupNames(ranking.Groups[0], f) {
					leading++
				} else {
					t.Logf("%s %s: %s", name, f, lead(ranking))
				}
			}
		}
	}
	t.Logf("%d jobs, the truth leads in %d", jobs, leading)
	if leading < jobs-1 { // wanted are all: one falls to a group that is larger
		t.Errorf("of %d opens that were moved %d lead", jobs, leading)
	}
}

// Contacts of 0.3 Ω everywhere are no fault.
func TestPoorContactsEverywhereAreNoFault(t *testing.T) {
	wrong, jobs := 0, 0
	for _, c := range differing(24) {
		own := other(c, func(own *circuits.Circuit) {
			own.Contacts = append([]circuits.Contact(nil), own.Contacts...)
			for i := range own.Contacts {
				own.Contacts[i].Ohms = 0.3
			}
		})
		set := nominals(c)
		readings := scans(c)
		for i := range c.Contacts {
			if i%max(1, len(c.Contacts)/4) == 1 {
				readings = append(readings, volts(c.Contacts[i].First))
			}
		}
		r := rank.Rank(jobOf(c, set, seen(own, circuits.Fault{}, set, readings...)))
		jobs++
		if _, place := healthyLeads(r); place >= 0.9 {
			wrong++
			t.Logf("%s: %s", c.File, lead(r))
		}
	}
	if wrong > 1 {
		t.Errorf("a fault is called at 90 %% on %d of %d sound machines with poor contacts", wrong, jobs)
	}
}

// A reference at 4.55 V of 5, or one with tens of ohms inside: it leads, or nothing is named.
func TestALowReference(t *testing.T) {
	wrong, leading, jobs := 0, 0, 0
	for _, c := range differing(31) {
		for _, m := range c.Modules {
			for _, p := range m.Pins {
				if p.Kind != circuits.PinReference || c.Contact(circuits.PointLocation(p.Point())) == nil {
					continue
				}
				set := nominals(c)
				readings := append(scans(c), volts(p.Point()))
				for i := range c.Contacts {
					if k := &c.Contacts[i]; c.Device(k.Location.From.Place) != nil && len(readings) < 6 {
						readings = append(readings, volts(k.First))
					}
				}
				low := circuits.Single{Kind: circuits.ModuleInside, At: p.Inside(), Words: circuits.ReferenceLow}
				for _, f := range []circuits.Single{low.WithShare(0.91), low.WithShare(0.7), low.WithOhms(60)} {
					r := rank.Rank(jobOf(c, set, seen(c, circuits.Fault{First: f}, set, readings...)))
					jobs++
					inGroup := false
					for _, k := range r.Groups[0].Faults {
						inGroup = inGroup || k.Fault.WithoutOhms() == f.WithoutOhms()
					}
					place := r.Places()[0]
					switch {
					case inGroup:
						leading++
					case place.Probability > 0.8:
						wrong++
						t.Logf("%s: %s share %g ohms %g: %s", c.File, p.Point(), f.Share, f.Ohms, lead(r))
					default:
						t.Logf("%s: %s share %g ohms %g: undecided, %s", c.File, p.Point(), f.Share, f.Ohms, lead(r))
					}
				}
			}
		}
	}
	t.Logf("low references: in the leading group in %d of %d, another place above 80 %% in %d", leading, jobs, wrong)
	if wrong > 0 || leading < jobs*9/10 {
		t.Errorf("a low reference leads in %d of %d jobs, another place stands above 80 %% in %d", leading, jobs, wrong)
	}
}

// Modules and parts whose inner numbers lie far from the file's, as in every machine of the kind: readings of a sound machine beside
// it tell them. Breaks are named that were not, and a sound machine is called sound.
func TestASoundMachineCalibrates(t *testing.T) {
	jobs, narrower, before, after, called := 0, 0, 0.0, 0.0, 0
	for _, c := range differing(12) {
		parameters := network.Parameters(c)
		numbers, wide := make(network.Settings, len(parameters)), false
		for i, p := range parameters {
			numbers[i] = math.NaN()
			if p.Kind == network.Inside && p.Log && p.High > 4*p.Low {
				numbers[i], wide = p.At(0.9), true
			}
		}
		own := network.Machine(c, parameters, numbers)
		set := nominals(c)
		readings := scans(c)
		for i := range c.Contacts {
			if k := &c.Contacts[i]; c.Device(k.Location.From.Place) != nil && len(readings) < 5 {
				readings = append(readings, volts(k.First))
			}
		}
		if !wide || len(readings) == 0 {
			continue
		}
		beside := seen(own, circuits.Fault{}, set, readings...)
		for i := range beside {
			beside[i].Sound = true
			for name, v := range set {
				beside[i].State.Set = append(beside[i].State.Set, circuits.SetDevice{Device: name, Set: v})
			}
			sort.Slice(beside[i].State.Set, func(a, b int) bool { return beside[i].State.Set[a].Device < beside[i].State.Set[b].Device })
		}
		for _, f := range append(opensOf(c, 2), circuits.Single{}) {
			ours := seen(own, circuits.Fault{First: f}, set, readings...)
			alone := rank.Rank(jobOf(c, set, ours))
			both := rank.Rank(jobOf(c, set, append(append([]circuits.Reading(nil), ours...), beside...)))
			odds := func(r rank.Ranking) float64 {
				k, _ := r.Find(circuits.Fault{First: f})
				return k.Probability
			}
			jobs++
			before += odds(alone)
			after += odds(both)
			if odds(both) >= odds(alone)-0.02 {
				narrower++
			} else {
				t.Logf("%s, %s: %.3f alone, %.3f with a sound machine beside it", c.File, f, odds(alone), odds(both))
			}
			if f.Kind == circuits.Healthy {
				if _, place := healthyLeads(both); place > 0.5 {
					called++
					t.Logf("%s, sound: %s", c.File, lead(both))
				}
			}
		}
	}
	t.Logf("%d jobs: the truth has %.3f in the mean alone, %.3f with the sound machine; no less in %d; %d sound machines called", jobs, before/float64(jobs), after/float64(jobs), narrower, called)
	if called > 0 || after <= before || narrower < jobs*9/10 {
		t.Errorf("of %d jobs the sound machine helps or does no harm in %d (mean odds %.3f, then %.3f), %d sound ones are called", jobs, narrower, before/float64(jobs), after/float64(jobs), called)
	}
}

// A sensor that is moved from one end to the other while its value is watched, and one whose value moves by itself as a living signal
// does, are no fault.
func TestSweptAndLivingSignalsAreNoFault(t *testing.T) {
	swept, living, wrong := 0, 0, 0
	for _, c := range differing(31) {
		for i := range c.Devices {
			d := &c.Devices[i]
			if !d.Kind.HasStimulus() || d.Kind.TwoState() {
				continue
			}
			set := nominals(c)
			var pairs []circuits.Reading
			low, high := d.Range[0]+0.1*(d.Range[1]-d.Range[0]), d.Range[1]-0.1*(d.Range[1]-d.Range[0])
			for _, r := range scans(c) {
				set[d.Name] = low
				a := seen(c, circuits.Fault{}, set, r)
				set[d.Name] = high
				b := seen(c, circuits.Fault{}, set, r)
				if len(a) == 1 && len(b) == 1 && math.Abs(a[0].Value-b[0].Value) > 0.3 {
					r.Taken, r.Value, r.High, r.Pair = true, min(a[0].Value, b[0].Value), max(a[0].Value, b[0].Value), true
					pairs = append(pairs, r)
				}
			}
			if len(pairs) == 0 {
				continue
			}
			judge := func(what string, j *circuits.Job) {
				r := rank.Rank(j)
				if leads, place := healthyLeads(r); !leads || place > 0.5 {
					wrong++
					t.Logf("%s: %s of %s: %s, a place has %.2f", c.File, what, d.Name, lead(r), place)
				}
			}
			delete(set, d.Name)
			for k := range pairs {
				pairs[k].State.Set = []circuits.SetDevice{{Device: d.Name, Set: low, Moved: true, To: high}}
			}
			swept++
			judge("sweep", jobOf(c, set, pairs))
			if c.Device(d.Name).Kind.Type().Stimulus.Between == circuits.Moves {
				for k := range pairs {
					pairs[k].State.Set = nil
				}
				living++
				judge("living signal", jobOf(c, set, pairs))
			}
		}
	}
	t.Logf("%d sweeps, %d living signals, %d taken for a fault", swept, living, wrong)
	if wrong > 0 || swept < 15 || living < 2 {
		t.Errorf("of %d sweeps and %d living signals %d are taken for a fault", swept, living, wrong)
	}
}

// Two ways changed over make a sensor run backwards: a sweep alone does not say so, for nobody notes which value was seen at which end;
// with one reading more it does.
func TestASweepThatRanBackwards(t *testing.T) {
	c := circuitNamed("library:throttle-potentiometer")
	truth, err := circuits.ParseFault("swapped C12:1 C12:3")
	if err == nil {
		truth, err = c.ResolveFault(truth)
	}
	if err != nil {
		t.Fatal(err)
	}
	scan := scans(c)[0]
	at := func(share float64) circuits.Reading {
		return seen(c, truth, map[string]float64{"TPS": share}, scan)[0]
	}
	sweep := scan
	sweep.Taken, sweep.Pair, sweep.Value, sweep.High = true, true, min(at(0.1).Value, at(0.9).Value), max(at(0.1).Value, at(0.9).Value)
	sweep.State.Set = []circuits.SetDevice{{Device: "TPS", Set: 0.1, Moved: true, To: 0.9}}
	still := at(0.1)
	still.State.Set = []circuits.SetDevice{{Device: "TPS", Set: 0.1}}
	alone, both := rank.Rank(jobOf(c, nil, []circuits.Reading{sweep})), rank.Rank(jobOf(c, nil, []circuits.Reading{sweep, still}))
	if leads, _ := healthyLeads(alone); !leads {
		t.Errorf("the sweep alone: %s", lead(alone))
	}
	if k := both.Groups[0].Faults[0]; k.Fault.Kind != circuits.Swapped || both.Groups[0].Probability < 0.9 {
		t.Errorf("with a reading at one end: %s", lead(both))
	}
}

// drawnScore is how rankings do on machines that are drawn from the widths.
type drawnScore struct {
	jobs, first, three, sure, sureRight, wrongSure, called int
	logLoss, misfit                                        float64
	sizes                                                  []int
	bins                                                   [10][3]float64 // jobs, called, right by the leading group's probability
}

func (s *drawnScore) add(r rank.Ranking, truth circuits.Single) {
	s.jobs++
	at := -1
	for g := range r.Groups {
		if groupNames(r.Groups[g], truth) {
			at = g
			break
		}
	}
	p := r.Groups[0].Probability
	s.first += count(at == 0)
	s.three += count(at >= 0 && at < 3)
	s.sure += count(p >= 0.95)
	s.sureRight += count(p >= 0.95 && at == 0)
	own := 1e-9
	if at >= 0 {
		own = max(own, r.Groups[at].Probability)
	}
	s.logLoss -= math.Log(own)
	s.sizes = append(s.sizes, len(r.Groups[0].Faults))
	bin := &s.bins[min(int(p*10), 9)]
	bin[0]++
	bin[1] += p
	bin[2] += float64(count(at == 0))
	places := r.Places()
	s.wrongSure += count(places[0].Probability >= 0.95 && places[0].Place != hypothesis.PlaceOf(circuits.Fault{First: truth}))
}

// calibrationError is the mean distance of what is called from what is right, over ten bins.
func (s *drawnScore) calibrationError() float64 {
	sum := 0.0
	for _, b := range s.bins {
		sum += math.Abs(b[1]-b[2]) / float64(s.jobs)
	}
	return sum
}

var drawnCircuits = []string{"coolant-temperature", "pressure-three-wire", "throttle-potentiometer", "hall-speed", "level-sender", "shared-reference", "oxygen-sensor-biased", "solenoid-low-side", "current-loop-4-20", "can-pair"}

func TestDrawnMachines(t *testing.T) {
	var s drawnScore
	called, sound := 0, 0
	for n, name := range drawnCircuits {
		c := circuitNamed(name)
		for k := range *drawnEach {
			j, truth, shows := drawnJob(c, uint64(n)*1000+uint64(k), false)
			if shows {
				r := rank.Rank(j)
				s.add(r, truth)
				if !groupNames(r.Groups[0], truth) {
					t.Logf("%s %d %s: %s", name, k, truth, lead(r))
				}
			}
			if k%3 == 0 {
				j, _, _ := drawnJob(c, uint64(n)*1000+500+uint64(k), true)
				r := rank.Rank(j)
				_, place := healthyLeads(r)
				sound++
				called += count(place >= 0.9)
			}
		}
	}
	sort.Ints(s.sizes)
	if share(s.first, s.jobs) < 0.85 || share(s.three, s.jobs) < 0.95 || share(s.sureRight, s.sure) < 0.9 || share(s.wrongSure, s.jobs) > 0.03 || called > 0 {
		t.Errorf("of %d jobs %d lead and %d are among three; of %d called 95 %% %d are right, %d places wrong; %d sound machines called", s.jobs, s.first, s.three, s.sure, s.sureRight, s.wrongSure, called)
	}
	t.Logf("%d jobs that show the fault: first %.3f, in three %.3f; says 95 %% in %.3f, right then %.3f, a wrong place at 95 %% in %.3f; log loss %.3f, calibration error %.3f, group of %d in the median; sound machines called %d of %d",
		s.jobs, share(s.first, s.jobs), share(s.three, s.jobs), share(s.sure, s.jobs), share(s.sureRight, s.sure), share(s.wrongSure, s.jobs), s.logLoss/float64(s.jobs), s.calibrationError(), s.sizes[len(s.sizes)/2], called, sound)
}

func share(n, of int) float64 { return float64(n) / float64(max(of, 1)) }

var drawnEach = flag.Int("drawn", 6, "machines of each circuit that are drawn from the widths")

// drawnJobs are jobs of machines that are drawn from the widths, with four to six readings each.
func drawnJob(c *circuits.Circuit, seed uint64, sound bool) (j *circuits.Job, truth circuits.Single, shows bool) {
	random := rand.New(rand.NewPCG(1977, seed))
	if !sound {
		truth = DrawFault(hypothesis.Hypotheses(c, hypothesis.DefaultWeights(), nil), c, random)
	}
	sick := NewVehicle(c, circuits.Fault{First: truth}, 0.02, random)
	well := *sick
	well.Fault, well.misread, well.random = circuits.Fault{}, 0, rand.New(rand.NewPCG(78, seed))
	j = jobOf(c, nil, nil)
	for i := range c.Devices {
		if set, ok := sick.Stimuli[c.Devices[i].Name]; ok && random.IntN(2) == 0 {
			j.Assume[c.Devices[i].Name] = set
		}
	}
	for _, r := range someReadings(c, random) {
		a, ok := sick.Answer(j.Meter, r)
		if !ok {
			continue
		}
		b, fine := well.Answer(j.Meter, r)
		shows = shows || !fine || a.OL != b.OL || math.Abs(a.Value-b.Value) > 2*j.Meter.Accuracy(r.Quantity).Bound(b.Value)+0.02
		j.Readings = append(j.Readings, a)
	}
	return j, truth, shows
}
