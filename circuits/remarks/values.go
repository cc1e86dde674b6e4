package remarks

import (
	"fmt"
	"regexp"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/models"
)

// Bounds beyond which a value is worth a second look. Common practice, no source, but for the thinnest wire (AWG 28 is
// 0.081 mm², ASTM B258) and the Beta values (data sheets of NTC parts lie between about 2500 and 4700 K).
const (
	leastPullUpOhms   = 100
	mostPullUpOhms    = 1e6
	leastWireMM2      = 0.08
	mostWireMM2       = 99
	longestWireM      = 50
	leastSupplyOhms   = 1
	mostSourceOhms    = 0.5
	leastBeta         = 1500
	mostBeta          = 6000
	leastTrackOhms    = 50
	mostTrackOhms     = 1e6
	leastRTDOhms      = 10
	mostRTDOhms       = 10e3
	leastLoadOhms     = 0.02
	mostLoadOhms      = 1e5
	mostFuseAmps      = 600
	lowSystemVolts    = 18 // a "24 V" part below it, or a "12 V" part above it, is on the wrong system
	shareOfRangeEdges = 1e-9
)

func (r *remarker) oddBattery() {
	b := r.c.Battery
	if b.RunningVolts < b.Volts {
		r.remark(r.lineOf("battery.running_volts"), fmt.Sprintf("the battery has fewer volts with the engine running (%g V) than at rest (%g V)", b.RunningVolts, b.Volts), "check which is which")
	}
	if b.SourceOhms > mostSourceOhms {
		r.remark(r.lineOf("battery.source_ohms"), fmt.Sprintf("a battery of %s inside loses most of its voltage under any load", models.SI(b.SourceOhms, "Ω")), "a sound starter battery has about 10 mΩ: write source_ohms = 0.01")
	}
	for _, m := range r.c.Modules {
		if m.SupplyOhms < leastSupplyOhms {
			r.remark(r.lineOf("module.%s.supply_ohms", m.Name), fmt.Sprintf("with a supply_ohms of %g Ω the module %s draws %s at each power pin", m.SupplyOhms, m.Name, models.SI(b.Volts/m.SupplyOhms, "A")),
				"a module draws about half an ampere: write supply_ohms = 30")
		}
	}
}

func (r *remarker) oddPins() {
	for _, m := range r.c.Modules {
		for _, pin := range m.Pins {
			at := func(key string) int { return r.lineOf("module.%s.pins.%s.%s", m.Name, pin.Cavity, key) }
			switch pin.Kind {
			case circuits.PinReference:
				if pin.Volts >= r.c.Battery.Volts {
					r.remark(at("volts"), fmt.Sprintf("the reference %s of %g V lies above the battery's %g V, which it is made from", pin.Point(), pin.Volts, r.c.Battery.Volts), "check volts, and the battery's")
				}
			case circuits.PinInput:
				r.limits(pin, at)
				r.pullUp(pin, at)
			}
		}
	}
}

// limits warns of codes that can never be set, or are always set.
func (r *remarker) limits(pin circuits.Pin, at func(string) int) {
	low, high := pin.RangeVolts[0], pin.RangeVolts[1]
	edge := shareOfRangeEdges * (high - low)
	for _, l := range []struct {
		key, beyond string
		limit       *circuits.Limit
	}{{"below", "below", pin.Below}, {"above", "above", pin.Above}} {
		if l.limit == nil {
			continue
		}
		if v := l.limit.Volts; l.key == "below" && v <= low+edge || l.key == "above" && v >= high-edge {
			r.remark(at(l.key), fmt.Sprintf("%s of %s is never set: nothing lies %s %g V in the input's range of %g to %g V", words(l.limit), pin.Point(), l.beyond, v, low, high), "check the limit, or range_volts")
		} else if l.key == "below" && v >= high-edge || l.key == "above" && v <= low+edge {
			r.remark(at(l.key), fmt.Sprintf("%s of %s is always set: the input's whole range of %g to %g V lies %s %g V", words(l.limit), pin.Point(), low, high, l.beyond, v), "check the limit, or range_volts")
		}
	}
	if pin.Below != nil && pin.Above != nil && pin.Below.Volts >= pin.Above.Volts {
		r.remark(at("below"), fmt.Sprintf("the limits of %s leave no healthy voltage: a code is set below %g V and above %g V", pin.Point(), pin.Below.Volts, pin.Above.Volts), "swap them if they were taken for each other")
	}
}

// words name a limit's code, where it has one.
func words(l *circuits.Limit) string {
	if l.Code == "" {
		return "the limit"
	}
	return "the code " + l.Code
}

// pullUp warns of a pull-up that no thermistor is read with, or that pulls above the battery.
func (r *remarker) pullUp(pin circuits.Pin, at func(string) int) {
	if pin.PullUpOhms == 0 {
		return
	}
	if pin.PullUpVolts > r.c.Battery.Volts {
		r.remark(at("pull_up_volts"), fmt.Sprintf("the pull-up of %s goes to %g V, above the battery's %g V", pin.Point(), pin.PullUpVolts, r.c.Battery.Volts), "check pull_up_volts")
	}
	if pin.PullUpOhms >= leastPullUpOhms && pin.PullUpOhms <= mostPullUpOhms {
		return
	}
	for _, p := range r.copper.Net(pin.Point()) {
		if d := r.devices[p]; d.Device != nil && d.Kind == circuits.Thermistor {
			r.remark(at("pull_up_ohms"), fmt.Sprintf("a pull-up of %s on %s can hardly read the thermistor %s, which has %s in the middle of its range",
				models.SI(pin.PullUpOhms, "Ω"), pin.Point(), d.Name, models.SI(d.OhmsAt((d.Range[0]+d.Range[1])/2), "Ω")), "pull-ups are 1 to 5 kΩ as a rule; check for a lost or extra k")
			return
		}
	}
}

func (r *remarker) oddDevices() {
	for _, d := range r.c.Devices {
		at := func(key string) int { return r.lineOf("device.%s.%s", d.Name, key) }
		outside := func(key string, ohms, least, most float64, word string) {
			if ohms < least || ohms > most {
				r.remark(at(key), fmt.Sprintf("%s is very unusual for %s such as %s", models.SI(ohms, "Ω"), word, d.Name), "check for a lost or extra k")
			}
		}
		if d.HasSet && !d.Kind.TwoState() && (d.Set < d.Range[0] || d.Set > d.Range[1]) {
			r.remark(at("set"), fmt.Sprintf("%s is set to %g, outside its own range of %g to %g", d.Name, d.Set, d.Range[0], d.Range[1]), "check set, or range")
		}
		switch d.Kind {
		case circuits.Thermistor:
			r.oddThermistor(d, at)
		case circuits.RTD:
			outside("ohms_0", d.Ohms0, leastRTDOhms, mostRTDOhms, "a platinum sensor")
		case circuits.Potentiometer:
			outside("ohms", d.Ohms, leastTrackOhms, mostTrackOhms, "the track of a potentiometer")
		case circuits.Load:
			outside("ohms", d.Ohms, leastLoadOhms, mostLoadOhms, "a load")
		case circuits.Ratiometric:
			if d.Low == d.High {
				r.remark(at("high"), fmt.Sprintf("the output of %s never moves: low and high are both %g", d.Name, d.Low), "check low and high")
			}
		case circuits.Fuse:
			if d.Amps > mostFuseAmps {
				r.remark(at("amps"), fmt.Sprintf("%g A is very unusual for a fuse such as %s", d.Amps, d.Name), "check amps")
			}
		}
		r.wrongSystem(d)
	}
}

// oddThermistor warns of a law that is not one of an NTC part.
func (r *remarker) oddThermistor(d circuits.Device, at func(string) int) {
	if d.Table == nil {
		if d.Beta < leastBeta || d.Beta > mostBeta {
			r.remark(at("beta"), fmt.Sprintf("a Beta of %g K is very unusual for a thermistor such as %s", d.Beta, d.Name), "most NTC parts have 3000 to 4500 K")
		}
		return
	}
	var rising []int
	for i := 1; i < len(d.Table); i++ {
		if d.Table[i].Ohms >= d.Table[i-1].Ohms {
			rising = append(rising, i)
		}
	}
	switch {
	case len(rising) == len(d.Table)-1:
		r.remark(at("table"), fmt.Sprintf("the ohms of the thermistor %s rise with the temperature, as in a PTC, while a thermistor here is an NTC", d.Name), "check the order of the rows and columns; for a platinum sensor use kind = \"rtd\"")
	case len(rising) > 0:
		a, b := d.Table[rising[0]-1], d.Table[rising[0]]
		r.remark(r.lineOf("device.%s.table[%d]", d.Name, rising[0]), fmt.Sprintf("the ohms of the thermistor %s do not fall from %g °C (%g Ω) to %g °C (%g Ω), as an NTC's must", d.Name, a.Celsius, a.Ohms, b.Celsius, b.Ohms), "check that row for a typing slip")
	}
}

// labelVolts finds a system voltage that a label speaks of.
var labelVolts = regexp.MustCompile(`\b(12|24) ?V\b`)

// wrongSystem warns of a part whose label names another system voltage than the battery's.
func (r *remarker) wrongSystem(d circuits.Device) {
	m := labelVolts.FindStringSubmatch(d.Label)
	if m == nil || d.Kind == circuits.Fuse || strings.Contains(d.Label, "12") && strings.Contains(d.Label, "24") {
		return
	}
	if v := r.c.Battery.Volts; m[1] == "24" && v < lowSystemVolts && v > 8 || m[1] == "12" && v > lowSystemVolts && v < 36 {
		r.remark(d.Line, fmt.Sprintf("the label of %s speaks of %s V while the battery has %g V", d.Name, m[1], v), "check the battery's volts, or the part")
	}
}

// oddWires warns of sizes and lengths that no harness has, once a run.
func (r *remarker) oddWires() {
	for ri, run := range r.c.Runs {
		for _, i := range run.Wires {
			w := r.c.Wires[i]
			if w.SizeMM2 >= leastWireMM2 && w.SizeMM2 <= mostWireMM2 {
				continue
			}
			word, key := "thinner", "size_mm2"
			if w.SizeMM2 > mostWireMM2 {
				word = "thicker"
			}
			if r.lineOf("run[%d].awg", ri) != r.lineOf("run[%d]", ri) {
				key = "awg"
			}
			r.remark(r.lineOf("run[%d].%s", ri, key), fmt.Sprintf("the wire %s of %.3g mm² is %s than any harness wire", w.Location, w.SizeMM2, word), "check the size, and whether it is mm² or AWG")
			break
		}
		for _, i := range run.Wires {
			if w := r.c.Wires[i]; w.LengthM > longestWireM {
				r.remark(r.lineOf("run[%d].length_m", ri), fmt.Sprintf("the wire %s is %g m long, more than a machine's harness has", w.Location, w.LengthM), "check the unit: length_m is in metres")
				break
			}
		}
	}
}
