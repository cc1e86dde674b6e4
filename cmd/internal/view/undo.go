package view

import (
	"slices"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/models"
)

// UndoJSON is what is taken back before a reading, of the state that the machine was left in.
type UndoJSON struct {
	EngineOff bool        `json:"engine_off,omitempty"`
	PlugIn    []string    `json:"plug_in,omitempty"`
	Jumper    [][2]string `json:"jumper,omitempty"`  // to take off
	Load      []LoadJSON  `json:"load,omitempty"`    // to take off
	Ammeter   string      `json:"ammeter,omitempty"` // whose circuit is closed again
	Release   []string    `json:"release,omitempty"` // parts that go back to where they were
	Says      string      `json:"says"`
}

// undoJSON is nil where nothing is taken back.
func undoJSON(c *circuits.Circuit, left, r circuits.Reading) *UndoJSON {
	u := r.Before(left)
	if u.None() {
		return nil
	}
	out := &UndoJSON{EngineOff: u.EngineOff, PlugIn: u.PlugIn, Release: u.Release}
	for _, j := range u.Jumpers {
		out.Jumper = append(out.Jumper, [2]string{j[0].String(), j[1].String()})
	}
	for _, l := range u.Loads {
		out.Load = append(out.Load, LoadJSON{l.From.String(), l.To.String(), l.Ohms})
	}
	if !u.Ammeter.IsZero() {
		out.Ammeter = u.Ammeter.String()
	}
	var words []string
	if u.EngineOff {
		words = append(words, "Engine off.")
	}
	for _, w := range takenBack(c, u) {
		words = append(words, w+".")
	}
	out.Says = spaced(strings.Join(words, " "))
	return out
}

// takenBack says what hands take back, in the order in which it is safe: leads first, then plugs.
func takenBack(c *circuits.Circuit, u circuits.Undo) []string {
	var out []string
	if !u.Ammeter.IsZero() {
		out = append(out, "Take the meter out of "+amperePlaceShort(c, u.Ammeter)+", and close the circuit there again")
	}
	for _, j := range u.Jumpers {
		out = append(out, "Take the lead between "+j[0].String()+" and "+j[1].String()+" off")
	}
	for _, l := range u.Loads {
		out = append(out, "Take the "+held(models.SI(l.Ohms, "Ω"))+" between "+l.From.String()+" and "+l.To.String()+" off")
	}
	if len(u.PlugIn) > 0 {
		out = append(out, "Plug "+plugsTold(c, u.PlugIn)+" in again")
	}
	for _, device := range u.Release {
		out = append(out, "Let "+named(c, device)+" be as it was")
	}
	return out
}

// kept says what stays as it is of what was parted and joined.
func kept(c *circuits.Circuit, left, r circuits.Reading) []string {
	var plugs, out []string
	for _, plug := range r.State.Unplugged {
		if slices.Contains(left.State.Unplugged, plug) {
			plugs = append(plugs, plug)
		}
	}
	if len(plugs) > 0 {
		out = append(out, "Leave "+plugsTold(c, plugs)+" unplugged")
	}
	gone := r.Before(left)
	for _, j := range left.State.Jumpers {
		if !slices.Contains(gone.Jumpers, j) {
			out = append(out, "Leave the lead between "+j[0].String()+" and "+j[1].String()+" on")
		}
	}
	for _, l := range left.State.Loads {
		if !slices.Contains(gone.Loads, l) {
			out = append(out, "Leave the "+held(models.SI(l.Ohms, "Ω"))+" between "+l.From.String()+" and "+l.To.String()+" on")
		}
	}
	return out
}

func plugsTold(c *circuits.Circuit, plugs []string) string {
	var out []string
	for _, plug := range plugs {
		out = append(out, plugTold(c, plug))
	}
	return strings.Join(out, " and ")
}

// amperePlaceShort names what an ammeter stands in.
func amperePlaceShort(c *circuits.Circuit, at circuits.Location) string {
	switch {
	case at.IsWire():
		return "the wire " + at.String()
	case c.Contact(at) != nil:
		return "contact" + nbsp + at.String()
	}
	return named(c, at.From.Place)
}
