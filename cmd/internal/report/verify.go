package report

import (
	"strconv"

	"ohmtrail/circuits"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/network"
	"ohmtrail/solver/plan"
	"ohmtrail/solver/rank"
)

// After is what the readings taken after the repair come to.
type After uint8

// What they come to, from nothing to everything.
const (
	NotVerified After = iota // none was taken
	Unjudged                 // what was taken cannot be judged
	Failed                   // some reading is not what a healthy machine shows
	Unconfirmed              // all agree with a healthy machine, and none would have shown the fault
	Verified                 // all agree, and some would have shown the fault
)

// afterNames are the names of programs for it.
var afterNames = [...]string{"not verified", "not judged", "failed", "unconfirmed", "verified"}

// String is the name that programs see.
func (a After) String() string { return afterNames[a] }

// Checked is one reading after the repair against what a healthy machine shows.
type Checked struct {
	Reading  circuits.Reading
	Accepted evidence.Accepted
	With     evidence.Expectation // with the fault still there; meaningless where none is known
	Passes   bool
	Confirms bool // it passes, and with the fault still there it would have failed
	Same     int  // index of the job's reading that is the same measurement; -1 for none
}

// Judged tells whether the reading was taken and can be judged.
func (c Checked) Judged() bool { return c.Reading.Taken && c.Accepted.Why.Kind == network.NoReason }

// Verification is the check after a repair, and what it leaves open.
type Verification struct {
	After    After
	Recorded bool                // the job says what was repaired; else the places are those that the readings prove
	Repaired []circuits.Location // nil where nobody knows them
	Fault    circuits.Fault      // that was repaired; healthy where nobody knows it
	Readings []Checked

	Slips   []hypothesis.Slip // what may have gone wrong
	Caught  []float64         // by slip: the chance that the readings taken would have shown it
	Propose []evidence.Check  // the shortest set of readings that would catch the rest
	Chance  []float64         // by slip: the chance that both together would show it
	Minutes float64           // that the proposed readings take together

	j *circuits.Job
	f finding
}

// confirming is the chance of showing the fault from which on a reading confirms the repair.
const confirming = 0.95

// Verify holds the readings taken after a repair against a healthy machine, and proposes the shortest set of readings
// that would catch a repair gone wrong. The ranking is that of the job.
func Verify(j *circuits.Job, ranking rank.Ranking) Verification { return verify(j, find(j, ranking)) }

func verify(j *circuits.Job, f finding) Verification {
	v := Verification{j: j, f: f}
	v.what()
	v.Slips = append(v.also(), hypothesis.Slips(j.Circuit, v.Repaired, v.Fault)...)
	var taken []circuits.Reading
	for _, r := range j.Verification {
		c := Checked{Reading: r, Accepted: evidence.Accept(j, r), With: evidence.Expect(j, r, v.Fault), Same: same(j, r)}
		if c.Judged() {
			c.Passes = c.Accepted.Passes(r)
			taken = append(taken, r)
		}
		v.Readings = append(v.Readings, c)
	}
	have := evidence.Catching(j, taken, v.Slips)
	v.confirm(have)
	v.judge()
	v.byTurns(have)
	v.propose(have)
	return v
}

// what says which places were repaired and of which fault: as recorded, else as the readings prove it.
func (v *Verification) what() {
	r := v.j.Repair
	v.Recorded = !r.Place().IsZero()
	found := v.f.speaks()
	switch {
	case r.Fault != (circuits.Fault{}):
		v.Fault, v.Repaired = r.Fault, places(r.Fault)
		if found && v.f.fault.WithoutOhms() == r.Fault {
			v.Fault = v.f.fault // with the ohms that the readings give it
		}
	case v.Recorded:
		v.Repaired = []circuits.Location{r.At}
		if found {
			for _, at := range places(v.f.fault) {
				if covers(v.j.Circuit, r.At, at) {
					v.Fault = v.f.fault
				}
			}
		}
	case found && v.f.standing == Proven:
		v.Fault, v.Repaired = v.f.fault, places(v.f.fault)
	}
}

// also are the other faults that the readings before the repair left at its place, where nobody recorded which it was: a
// reading confirms the repair only if it would have shown these too.
func (v *Verification) also() []hypothesis.Slip {
	if v.j.Repair.Fault != (circuits.Fault{}) || v.Fault == (circuits.Fault{}) || v.Fault.IsDouble() {
		return nil
	}
	var out []hypothesis.Slip
	for _, c := range v.f.others {
		if !c.Whole().IsDouble() {
			out = append(out, hypothesis.Slip{Kind: hypothesis.SlipStays, Fault: withOhms(c).First})
		}
	}
	return out
}

// same is the job's reading that a verification repeats; -1 for none.
func same(j *circuits.Job, r circuits.Reading) int {
	for i, other := range j.Readings {
		if circuits.ReadingKey(other) == circuits.ReadingKey(r) {
			return i
		}
	}
	return -1
}

// confirm marks the readings that would have shown the fault. have are the checks of the readings that were judged.
func (v *Verification) confirm(have []evidence.Check) {
	k := 0
	for i := range v.Readings {
		if !v.Readings[i].Judged() {
			continue
		}
		shows, there := 1.0, false
		for s, slip := range v.Slips {
			if slip.Kind == hypothesis.SlipStays {
				shows, there = min(shows, have[k].Catches[s]), true
			}
		}
		if v.j.Intermittent && !v.moved(v.Readings[i].Reading) {
			shows = 0 // the fault may have been away
		}
		v.Readings[i].Confirms = v.Readings[i].Passes && there && shows >= confirming
		k++
	}
}

// moved tells whether a repaired place was moved by hand while a reading was taken.
func (v *Verification) moved(r circuits.Reading) bool {
	at, err := circuits.ParseLocation(r.Wiggle)
	if err != nil {
		return false
	}
	for _, place := range v.Repaired {
		if covers(v.j.Circuit, at, place) || covers(v.j.Circuit, place, at) {
			return true
		}
	}
	return false
}

// judge sums the readings up.
func (v *Verification) judge() {
	taken, judged, failed, confirmed := v.counts()
	switch {
	case taken == 0:
		v.After = NotVerified
	case judged == 0:
		v.After = Unjudged
	case failed > 0:
		v.After = Failed
	case confirmed == 0:
		v.After = Unconfirmed
	default:
		v.After = Verified
	}
}

// counts are how many readings were taken, could be judged, failed, and confirm.
func (v Verification) counts() (taken, judged, failed, confirmed int) {
	for _, c := range v.Readings {
		if c.Reading.Taken {
			taken++
		}
		if c.Judged() {
			judged++
			if !c.Passes {
				failed++
			}
		}
		if c.Confirms {
			confirmed++
		}
	}
	return taken, judged, failed, confirmed
}

// propose picks the readings to take after the repair, beside those that were taken.
func (v *Verification) propose(have []evidence.Check) {
	if len(v.Slips) == 0 {
		return
	}
	there := map[string]bool{}
	for _, c := range v.Readings {
		if c.Judged() {
			key := circuits.ReadingKey(c.Reading)
			there[key] = there[key] || !v.j.Intermittent || v.moved(c.Reading)
		}
	}
	var open []circuits.Reading
	for _, r := range plan.CheckReadings(v.j, v.Repaired) {
		if !there[circuits.ReadingKey(r)] {
			open = append(open, r)
		}
	}
	checks := evidence.Catching(v.j, open, v.Slips)
	v.move(checks)
	reached := map[string]bool{}
	for _, at := range v.Repaired {
		reached[at.From.Place], reached[at.To.Place] = true, true
	}
	picked, chance := plan.ShortestChecks(v.j.Circuit, v.Slips, checks, have, reached)
	v.Chance, v.Caught = chance, make([]float64, len(v.Slips))
	for _, c := range have {
		for i, p := range c.Catches {
			v.Caught[i] = max(v.Caught[i], p)
		}
	}
	for _, k := range picked {
		c := checks[k]
		c.Minutes = v.j.Circuit.Minutes(c.Reading, reached)
		for _, place := range v.j.Circuit.Touches(c.Reading) {
			reached[place] = true
		}
		v.Minutes += c.Minutes
		v.Propose = append(v.Propose, c)
	}
}

// claim is the sentence of the first lines.
func (v Verification) claim() string {
	_, judged, failed, _ := v.counts()
	switch v.After {
	case NotVerified:
		if v.j.Repair.Recorded() {
			return say("first.not_verified")
		}
		return say("first.not_repaired") + " " + say("first.not_verified_bare")
	case Unjudged:
		return say("first.unjudged")
	case Failed:
		return say("first.failed", "n", strconv.Itoa(failed), "of", counted(judged, "count.reading", "count.readings"))
	case Unconfirmed:
		if v.j.Intermittent {
			return say("first.unconfirmed_intermittent", "n", counted(judged, "count.reading", "count.readings"))
		}
		return say("first.unconfirmed", "n", counted(judged, "count.reading", "count.readings"))
	}
	if v.j.Intermittent {
		return say("first.verified_intermittent", "n", counted(judged, "count.reading", "count.readings"), "confirming", listed(v.confirmingNames()), "chance", chance(v.seen()))
	}
	return say("first.verified", "n", counted(judged, "count.reading", "count.readings"), "confirming", listed(v.confirmingNames()))
}

// confirmingNames are the readings that would have shown the fault.
func (v Verification) confirmingNames() []string {
	var out []string
	for i, c := range v.Readings {
		if c.Confirms {
			out = append(out, say("sure.reading_name", "n", strconv.Itoa(i+1), "where", lead(c.Reading)))
		}
	}
	return out
}
