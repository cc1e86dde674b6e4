package trial

import (
	"slices"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/solver/rank"
)

// feed is a wire behind a fuse.
type feed struct {
	fuse    *circuits.Device
	wire    *circuits.Wire
	plugged []string // the parts and modules on its net, as they are unplugged
}

// feeds are the wires behind the fuses of a circuit: what a fuse's terminal away from the battery leads to over wires, splices
// and contacts.
func feeds(c *circuits.Circuit) []feed {
	copper := circuits.Join(c.Harness())
	post, _ := copper.NetOf(circuits.BPositive)
	var out []feed
	for i := range c.Devices {
		d := &c.Devices[i]
		if d.Kind != circuits.Fuse {
			continue
		}
		net, _ := copper.NetOf(d.Terminal("b"))
		if net == post {
			net, _ = copper.NetOf(d.Terminal("a"))
		}
		var plugged []string
		for k := range c.Contacts {
			p := c.Contacts[k].First
			plug := c.PlugOf(p)
			on, _ := copper.NetOf(p)
			inLine := slices.ContainsFunc(c.Connectors, func(x circuits.Connector) bool { return x.Name == plug })
			if on == net && plug != d.Name && !inLine && !slices.Contains(plugged, plug) {
				plugged = append(plugged, plug)
			}
		}
		for k := range c.Wires {
			if on, ok := copper.NetOf(c.Wires[k].From); ok && on == net {
				out = append(out, feed{d, &c.Wires[k], plugged})
			}
		}
	}
	return out
}

// A dead short on a feed leads: 0, 5 and 10 mΩ on two feeds each of eleven circuits, 66 in all. Read are both sides of the fuse
// and the dead feed against the battery's negative post, the scan values, and with the key off the ohms of the feed, at
// both ends of the wire with what it feeds unplugged.
func TestDeadShortsOnFeedsLead(t *testing.T) {
	if testing.Short() {
		t.Skip("66 rankings")
	}
	used, jobs, leading := 0, 0, 0
	for _, c := range differing(40) {
		all := feeds(c)
		if len(all) < 2 || used == 11 {
			continue
		}
		used++
		for _, x := range []feed{all[0], all[len(all)-1]} {
			for _, ohms := range []float64{0, 0.005, 0.010} {
				f := circuits.Single{Kind: circuits.ShortToGround, At: x.wire.Location}.WithOhms(ohms)
				dead := volts(x.wire.To)
				resistance := dead
				resistance.Quantity, resistance.State = circuits.Ohms, circuits.State{Key: circuits.KeyOff}
				apart := resistance
				apart.State.Unplugged = x.plugged
				other := apart
				other.At = circuits.PointLocation(x.wire.From)
				readings := append(scans(c), volts(x.fuse.Terminal("a")), volts(x.fuse.Terminal("b")), dead, resistance, apart, other)
				r := rank.Rank(jobOf(c, nil, seen(c, circuits.Fault{First: f}, nominals(c), readings...)))
				jobs++
				if groupNames(r.Groups[0], f) {
					leading++
				} else {
					t.Logf("%s, %s: %s", c.Title, f, lead(r))
				}
			}
		}
	}
	if jobs != 66 || leading < 66 {
		t.Errorf("%d of %d dead shorts lead", leading, jobs)
	}
}
