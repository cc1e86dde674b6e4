package circuits

import "slices"

// Minutes of work beyond reaching a place (the contract's section 1; ours).
const (
	minutesReading = 1
	minutesUnplug  = 1
	minutesLead    = 2 // a jumper or a load
	minutesScan    = 0.5
	minutesMove    = 1 // a place moved by hand while the value is watched
)

// Touches are the distinct places that a reading touches, in the order in which they are met: leads, jumpers, loads,
// connectors taken apart, and what is moved by hand. A scan value itself touches nothing.
func (c *Circuit) Touches(r Reading) []string {
	var out []string
	add := func(name string) {
		if name != "" && name != "B+" && name != "B-" && !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	if r.Quantity != ScanVolts {
		add(r.At.From.Place)
		add(r.At.To.Place)
		if r.Quantity != Amps {
			add(r.To.Place)
		}
	}
	for _, j := range r.State.Jumpers {
		add(j[0].Place)
		add(j[1].Place)
	}
	for _, l := range r.State.Loads {
		add(l.From.Place)
		add(l.To.Place)
	}
	for _, u := range r.State.Unplugged {
		add(placeOfPlug(u))
	}
	if at, err := ParseLocation(r.Wiggle); err == nil {
		add(placeOfPlug(at.From.Place))
		add(at.To.Place)
	}
	return out
}

// placeOfPlug is the element that a name in `unplugged` belongs to: MCU.A is at MCU.
func placeOfPlug(plug string) string {
	for i, r := range plug {
		if r == '.' {
			return plug[:i]
		}
	}
	return plug
}

// Minutes is what a reading costs when the places in reached are accessible already: access of each new place, 1 for
// the reading, 1 for each connector taken apart, 2 for each jumper or load, 1 for a place moved by hand. A scan value costs 0.5 in place of the
// access and the reading; what the machine must be put into for it is paid like for any other reading.
func (c *Circuit) Minutes(r Reading, reached map[string]bool) float64 {
	total := float64(minutesReading)
	if r.Quantity == ScanVolts {
		total = minutesScan
	}
	if r.Wiggle != "" {
		total += minutesMove
	}
	for _, place := range c.Touches(r) {
		if !reached[place] {
			total += c.AccessMin(place)
		}
	}
	return total + minutesUnplug*float64(len(r.State.Unplugged)) + minutesLead*float64(len(r.State.Jumpers)+len(r.State.Loads))
}

// Reached are the places that the taken readings of a job have touched.
func (j *Job) Reached() map[string]bool {
	out := map[string]bool{}
	for _, r := range j.Readings {
		if r.Taken && !r.Sound {
			for _, place := range j.Circuit.Touches(r) {
				out[place] = true
			}
		}
	}
	return out
}
