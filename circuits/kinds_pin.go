package circuits

import "ohmtrail/models"

// PinType is one entry of the table of module pins, as DeviceType is of devices.
type PinType struct {
	Kind    PinKind
	Word    string // what a technician calls it
	Numbers []Number[Pin]
	Keys    []string // further keys that a file gives it, beside those of every pin
	Inside  []string // words of the faults that can be inside, beside an open
}

func pinTolerance(p *Pin) float64 { return p.TolerancePct }
func pinOnOhms(p *Pin) *float64   { return &p.OnOhms }
func pinVolts(p *Pin) *float64    { return &p.Volts }
func pinPullUp(p *Pin) *float64   { return &p.PullUpOhms }
func pinPullDown(p *Pin) *float64 { return &p.PullDownOhms }
func pinLINOhms(p *Pin) *float64  { return &p.LINOhms }
func rangeShare(pct float64) spread[Pin] {
	return func(p *Pin, nominal float64) (low, high float64) {
		half := pct / 100 * (p.RangeVolts[1] - p.RangeVolts[0])
		return nominal - half, nominal + half
	}
}

// pulledUp is pct where there is a pull-up at all.
func pulledUp(percent float64) spread[Pin] {
	return func(p *Pin, nominal float64) (low, high float64) {
		if p.PullUpOhms == 0 {
			return nominal, nominal
		}
		return pct[Pin](percent)(p, nominal)
	}
}

// limitVolts is where a code is set; 0, and nothing to be off, where there is no limit.
func limitVolts(key string, limit func(*Pin) *Limit) Number[Pin] {
	return Number[Pin]{Key: key, Hidden: true,
		LeftOut: func(p *Pin, nominal float64) (low, high float64) {
			if limit(p) == nil {
				return 0, 0
			}
			return rangeShare(2)(p, nominal)
		},
		Get: func(p *Pin) float64 {
			if l := limit(p); l != nil {
				return l.Volts
			}
			return 0
		},
		Set: func(p *Pin, volts float64) { limit(p).Volts = volts }}
}

// converterErrors are what a module's converter adds to what it sees: an offset, and a share of what stands above the
// lower end of its range. Each has half of scan_pct of the range, so that together they keep to it.
var converterErrors = []Number[Pin]{
	fact("scan_pct", 1, Percent, func(p *Pin) *float64 { return &p.ScanPct }),
	hidden(number("scan_offset_volts", 0, AnyNumber, nil, func(p *Pin, nominal float64) (low, high float64) {
		return rangeShare(p.ScanPct/2)(p, nominal)
	}, func(p *Pin) *float64 { return &p.ScanOffsetVolts })),
	hidden(number("scan_gain_pct", 0, AnyNumber, nil, allowance(func(p *Pin) float64 { return p.ScanPct / 2 }),
		func(p *Pin) *float64 { return &p.ScanGainPct })),
}

// busBias are the numbers of either wire of a CAN bus. ISO 11898-2 (from memory) has 2 to 3 V at rest.
var busBias = []Number[Pin]{
	number("bias_volts", 2.5, railVolts, pct[Pin](5), between[Pin](2, 3), func(p *Pin) *float64 { return &p.BiasVolts }),
	resistance("bias_ohms", 15e3, Positive, pct[Pin](20), between[Pin](6e3, 50e3), func(p *Pin) *float64 { return &p.BiasOhms }),
}

// pinTypes is the table of the kinds of module pin, in the order of the contract: numbers with their nominals (section
// 1) and widths (section 5).
var pinTypes = []PinType{
	{Kind: PinReference, Word: "reference", Inside: []string{ReferenceDead, ReferenceLow},
		Numbers: []Number[Pin]{
			number("volts", 5, Bounds{0, MaxVolts, true}, toleranced(pinTolerance), toleranced(pinTolerance), pinVolts),
			fact("tolerance_pct", 1, Percent, func(p *Pin) *float64 { return &p.TolerancePct }),
			resistance("source_ohms", 0.2, NotNegative, times[Pin](2), between[Pin](0.05, 2), func(p *Pin) *float64 { return &p.SourceOhms }),
			byLog(number("limit_ma", 80, Positive, times[Pin](2), between[Pin](20, 200), func(p *Pin) *float64 { return &p.LimitMA })),
			resistance("leak_ohms", 50e3, Positive, times[Pin](2), between[Pin](10e3, 1e6), func(p *Pin) *float64 { return &p.LeakOhms })}},
	{Kind: PinInput, Word: "input", Inside: []string{PullUpLost}, Keys: []string{"range_volts", "bits", "below", "above"},
		Numbers: append([]Number[Pin]{
			resistance("pull_up_ohms", 0, Positive, toleranced(pinTolerance), nil, pinPullUp),
			number("pull_up_volts", 5, railVolts, pulledUp(3), pulledUp(3), func(p *Pin) *float64 { return &p.PullUpVolts }),
			resistance("pull_down_ohms", 0, Positive, toleranced(pinTolerance), nil, pinPullDown),
			fact("tolerance_pct", 10, Percent, func(p *Pin) *float64 { return &p.TolerancePct }),
			resistance("input_ohms", 1e6, Positive, times[Pin](2), between[Pin](200e3, 10e6), func(p *Pin) *float64 { return &p.InputOhms }),
			limitVolts("below", func(p *Pin) *Limit { return p.Below }),
			limitVolts("above", func(p *Pin) *Limit { return p.Above })}, converterErrors...)},
	{Kind: PinReturn, Word: "return", Numbers: []Number[Pin]{
		resistance("ohms", 0.02, NotNegative, times[Pin](2), between[Pin](0.005, 0.2), func(p *Pin) *float64 { return &p.Ohms }),
		number("offset_volts", 0, Bounds{-MaxVolts, MaxVolts, false}, pct[Pin](3), pct[Pin](3), func(p *Pin) *float64 { return &p.OffsetVolts })}},
	{Kind: PinGround, Word: "ground"},
	{Kind: PinPower, Word: "power"},
	{Kind: PinLowSide, Word: "driver to ground", Inside: []string{StuckOn, StuckOff}, Keys: []string{"on"},
		Numbers: []Number[Pin]{
			resistance("on_ohms", 0.2, NotNegative, times[Pin](2), fractions[Pin](0.25, 4), pinOnOhms),
			resistance("sense_ohms", 10e3, Positive, times[Pin](2), between[Pin](3e3, 100e3), func(p *Pin) *float64 { return &p.SenseOhms }),
			number("sense_volts", 5, railVolts, pct[Pin](3), pct[Pin](3), func(p *Pin) *float64 { return &p.SenseVolts })}},
	{Kind: PinHighSide, Word: "driver from supply", Inside: []string{StuckOn, StuckOff}, Keys: []string{"on"},
		Numbers: []Number[Pin]{resistance("on_ohms", 0.05, NotNegative, times[Pin](2), fractions[Pin](0.25, 4), pinOnOhms)}},
	{Kind: PinCANHigh, Word: "bus, high", Numbers: busBias},
	{Kind: PinCANLow, Word: "bus, low", Numbers: busBias},
	{Kind: PinLIN, Word: "bus", Keys: []string{"commander"}, Numbers: []Number[Pin]{linPullUp()}},
}

// linPullUp: a commander pulls up harder (LIN 2.x, from memory).
func linPullUp() Number[Pin] {
	n := resistance("pull_up_ohms", 0, Positive, pct[Pin](10), func(p *Pin, nominal float64) (low, high float64) {
		if p.Commander {
			return 900, 1100
		}
		return 20e3, 60e3
	}, pinLINOhms)
	n.Nominal = func(p *Pin) float64 {
		if p.Commander {
			return 1e3
		}
		return 30e3
	}
	return n
}

// pinTypeOf finds a kind's entry.
var pinTypeOf = func() map[PinKind]*PinType {
	out := map[PinKind]*PinType{}
	for i := range pinTypes {
		out[pinTypes[i].Kind] = &pinTypes[i]
	}
	return out
}()

// Type is the kind's entry of the table; an empty one for an unknown kind.
func (k PinKind) Type() *PinType {
	if t := pinTypeOf[k]; t != nil {
		return t
	}
	return &PinType{}
}

// PinKinds lists the kinds of module pin in the order of the contract.
func PinKinds() []string {
	out := make([]string, len(pinTypes))
	for i, t := range pinTypes {
		out[i] = string(t.Kind)
	}
	return out
}

// InsideFaults are the words of the faults that can be inside a pin of this kind.
func (p Pin) InsideFaults() []string {
	out := []string{OpenInside}
	for _, words := range p.Kind.Type().Inside {
		if words != PullUpLost || p.PullUpOhms > 0 {
			out = append(out, words)
		}
	}
	return out
}

// Width is how far the real pin's number of that name may be off.
func (p Pin) Width(key string) models.Width { return widthOf(p.Kind.Type().Numbers, p.Widths, key) }
