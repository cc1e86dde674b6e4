package plan

import (
	"slices"

	"ohmtrail/circuits"
	"ohmtrail/solver/rank"
)

// AdviceKind says what an advice is about.
type AdviceKind uint8

// What may be advised.
const (
	CommonCause     AdviceKind = iota // one of Faults would explain all codes of the job
	SetsNoCode                        // the leading fault, the first of Faults, sets no code
	InnocentCodes                     // the leading fault sets Codes, whose sensors are good
	CollapsedSupply                   // the reference at Point, of so many Volts, is pulled down: part Names in their order
	LoadTest                          // unplug the part Names[0] and put Ohms from Point to B-: Good volts, or Bad ones with BadOhms in the feed
	Matters                           // what Ohms found at Location do, by sensor; nothing worth a complaint where there are no Shifts
	Disturbed                         // Names were parted in this job
	NotYet                            // the part Names[0] is not to be replaced: its wiring still holds Probability
	LookAt                            // Location holds Probability, and a look costs Minutes
	CameBack                          // codes are set that nothing there now explains: Ranking.Returning
	ManyLooks                         // the symptom comes and goes
	ReadAgain                         // the reading of that index in the job fits nothing else
	FuseGone                          // the fuse Names[0] is likely gone, and went for a reason
)

// Advice is what a good technician would also say about a job as it stands; the kind tells which fields hold.
type Advice struct {
	Kind        AdviceKind
	Faults      []circuits.Fault
	Codes       []string
	Names       []string
	Point       circuits.Point
	Location    circuits.Location
	Volts       float64
	Ohms        float64
	Good, Bad   float64
	BadOhms     float64
	Probability float64
	Minutes     float64
	Reading     int
	Shifts      []Shift
}

// Shift is what a resistance makes of a sensor's value.
type Shift struct {
	Device     *circuits.Device
	Set, Shown float64 // the stimulus, and what the module takes it for
	Lost       bool    // the module takes it for nothing that the sensor can show
	Volts      float64 // what it sees then
}

// Advise is what a good technician would also say about a job as it stands: what explains all
// codes at once, which codes are innocent, in which order to part a collapsed supply, how to load a suspect feed,
// whether a resistance matters here, what has been disturbed, what must not be replaced yet, what to look at.
func Advise(r *rank.Ranking) []Advice {
	if r.Job.Circuit.Pyrotechnic {
		return nil // the caution says all that may be said
	}
	var out []Advice
	for _, part := range []func(*rank.Ranking) []Advice{commonCause, innocentCodes, collapsedSupply, loadTest, fuseGone, matters, disturbed,
		notYet, lookAt, comesAndGoes, readAgain} {
		out = append(out, part(r)...)
	}
	return out
}

// AdviseBeside is Advise beside a plan. What is done and says in which order to repair does not warn of its own order.
func AdviseBeside(r *rank.Ranking, p Plan) []Advice {
	return slices.DeleteFunc(Advise(r), func(a Advice) bool { return a.Kind == NotYet && p.Done })
}

// lead is the likeliest fault that is one, with at least that much probability.
func lead(r *rank.Ranking, least float64) (rank.Candidate, bool) {
	for _, c := range r.Candidates {
		if c.Fault.Kind != circuits.Healthy && c.Fault.Kind != circuits.Unlisted {
			return c, c.Probability >= least
		}
	}
	return rank.Candidate{}, false
}

// worstOhms is the fault's resistance to reckon with: what the readings leave, else its worst.
func worstOhms(c rank.Candidate) circuits.Single {
	f := c.Fault
	switch {
	case !f.Kind.TakesOhms():
		return f
	case c.Ohms != nil && c.Probability > 0.05:
		return f.WithOhms(c.Ohms.Best)
	case f.Kind == circuits.HighResistance:
		return f.WithOhms(1e5)
	}
	return f.WithOhms(0)
}

// commonCause names the places that would explain all codes at once.
func commonCause(r *rank.Ranking) []Advice {
	if len(r.Codes()) < 2 {
		return nil
	}
	var faults []circuits.Fault
	for _, c := range r.Candidates[:min(len(r.Candidates), 60)] {
		f := worstOhms(c)
		if c.Whole().IsDouble() || f.Kind == circuits.Healthy || f.Kind == circuits.Unlisted {
			continue
		}
		if r.SetsAllCodes(f) {
			faults = append(faults, c.Whole().WithoutOhms())
		}
		if len(faults) == 3 {
			break
		}
	}
	if len(faults) == 0 {
		return nil
	}
	return []Advice{{Kind: CommonCause, Faults: faults}}
}

// innocentCodes says which codes the leading fault sets, and that they may name a sensor which is good.
func innocentCodes(r *rank.Ranking) []Advice {
	c, ok := lead(r, 0.3)
	if !ok || c.Whole().IsDouble() || len(r.Job.Circuit.Codes()) == 0 {
		return nil
	}
	sets := r.CodesSetBy(worstOhms(c))
	if len(sets) == 0 {
		return []Advice{{Kind: SetsNoCode, Faults: []circuits.Fault{c.Whole().WithoutOhms()}}}
	}
	lines := conductors(r.Job.Circuit)
	var innocent []string
	for _, m := range r.Job.Circuit.Modules {
		for _, p := range m.Pins {
			for _, l := range []*circuits.Limit{p.Below, p.Above} {
				if l != nil && sets[l.Code] && !onLine(lines, p.Point(), c.Fault, r.Job.Circuit) {
					innocent = append(innocent, l.Code)
				}
			}
		}
	}
	if len(innocent) == 0 {
		return nil
	}
	return []Advice{{Kind: InnocentCodes, Faults: []circuits.Fault{c.Whole().WithoutOhms()}, Codes: innocent}}
}

// onLine tells whether a fault lies on the conductor of a pin, or in a part that it leads to.
func onLine(lines map[circuits.Point]*conductor, pin circuits.Point, f circuits.Single, c *circuits.Circuit) bool {
	k := lines[pin]
	if k == nil {
		return false
	}
	for _, t := range k.terminals {
		if f.At.From.Place == t.Place && (f.Kind == circuits.DeviceInside || f.At.From.Terminal() == t) || f.At.IsWire() && f.At.To == t {
			return true
		}
	}
	for _, r := range c.Runs {
		mine := false
		for _, p := range r.Path {
			mine = mine || p == pin
		}
		for _, w := range r.Wires {
			if mine && (c.Wires[w].Location == f.At || c.Wires[w].Location == f.To) {
				return true
			}
		}
		for _, p := range r.Path {
			if mine && !f.At.IsWire() && f.At.From.Terminal() == p {
				return true
			}
		}
	}
	return false
}

// fuseGoneOdds is the probability that a fuse is gone from which on what blew it is worth a word.
const fuseGoneOdds = 0.1

// fuseGone warns of the next fuse: one that is gone, as far as the readings say, went for a reason that lies elsewhere.
func fuseGone(r *rank.Ranking) []Advice {
	var out []Advice
	for _, name := range fusesGone(r, fuseGoneOdds) {
		out = append(out, Advice{Kind: FuseGone, Names: []string{name}})
	}
	return out
}

// disturbed names the connectors parted in this job: a wiped contact may look good now.
func disturbed(r *rank.Ranking) []Advice {
	var names []string
	for _, reading := range r.Job.Readings {
		for _, u := range reading.State.Unplugged {
			if reading.Taken && !reading.Sound && !slices.Contains(names, u) {
				names = append(names, u)
			}
		}
	}
	if len(names) == 0 {
		return nil
	}
	return []Advice{{Kind: Disturbed, Names: names}}
}

// notYet warns of replacing a part or module while a wire of it is not cleared.
func notYet(r *rank.Ranking) []Advice {
	c, ok := lead(r, 0.1)
	if !ok || c.Fault.Kind != circuits.DeviceInside && c.Fault.Kind != circuits.ModuleInside {
		return nil
	}
	place := c.Fault.At.From.Place
	if r.Places()[0].Probability > confirmed {
		return nil
	}
	open := 0.0
	for _, k := range r.Candidates {
		if (k.Fault.At.From.Place == place || k.Fault.At.To.Place == place) && k.Fault.Kind != circuits.DeviceInside && k.Fault.Kind != circuits.ModuleInside {
			open += k.Probability
		}
	}
	if open > 0.02 {
		return []Advice{{Kind: NotYet, Names: []string{place}, Probability: open}}
	}
	return nil
}

// lookAt suggests what to look at: the cheapest of the leading places whose fault can be seen or felt.
func lookAt(r *rank.Ranking) []Advice {
	if r.Job.Circuit.Pyrotechnic {
		return nil
	}
	for _, p := range r.Places() {
		if p.Probability < 0.1 || p.Probability > proven {
			continue
		}
		at := p.Place.Locations()
		if len(at) != 1 || at[0].From.Cavity == "" && !at[0].IsWire() {
			continue
		}
		l := at[0]
		minutes := r.Job.Circuit.AccessMin(l.From.Place)
		if r.Job.Reached()[l.From.Place] {
			minutes = 0
		}
		if minutes > 6 || inspected(r, l) {
			continue
		}
		return []Advice{{Kind: LookAt, Location: l, Minutes: minutes + 1, Probability: p.Probability}}
	}
	return nil
}

func inspected(r *rank.Ranking, l circuits.Location) bool {
	for _, i := range r.Job.Inspections {
		if i.At == l || i.At.From.Place == l.From.Place && i.At.From.Cavity == "" {
			return true
		}
	}
	return false
}

// comesAndGoes says how often one must look at an intermittent fault.
func comesAndGoes(r *rank.Ranking) []Advice {
	if r.Returning != nil && r.Returning.Probability >= 0.5 {
		return []Advice{{Kind: CameBack}}
	}
	if !r.Job.Intermittent {
		return nil
	}
	return []Advice{{Kind: ManyLooks}}
}

// readAgain names the readings that are likelier misread than not.
func readAgain(r *rank.Ranking) []Advice {
	var out []Advice
	for i, n := range r.Taken {
		if r.Misread[i] > 0.5 {
			out = append(out, Advice{Kind: ReadAgain, Reading: n})
		}
	}
	return out
}
