package circuits

import "ohmtrail/models"

// BatteryNumbers, ModuleNumbers, ContactNumbers, StudNumbers and SpliceNumbers are the numbers of what has no kinds, with
// their nominals (section 1) and widths (section 5).
var (
	BatteryNumbers = []Number[Battery]{
		number("volts", 12.6, Positive, pct[Battery](4), pct[Battery](6), func(b *Battery) *float64 { return &b.Volts }),
		number("running_volts", 14.2, Positive, pct[Battery](4), pct[Battery](6), func(b *Battery) *float64 { return &b.RunningVolts }),
		resistance("source_ohms", 0.01, NotNegative, times[Battery](2), between[Battery](0.005, 0.05), func(b *Battery) *float64 { return &b.SourceOhms }),
	}
	ModuleNumbers = []Number[Module]{
		resistance("supply_ohms", 30, Positive, pct[Module](30), between[Module](8, 150), func(m *Module) *float64 { return &m.SupplyOhms }),
	}
	ContactNumbers = []Number[Contact]{
		resistance("contact_ohms", models.ContactOhms, NotNegative, times[Contact](2), between[Contact](0.002, 0.05), func(k *Contact) *float64 { return &k.Ohms }),
	}
	StudNumbers = []Number[Stud]{
		resistance("ohms", models.StudOhms, NotNegative, times[Stud](2), between[Stud](0.001, 0.02), func(s *Stud) *float64 { return &s.Ohms }),
	}
	SpliceNumbers = []Number[Splice]{
		resistance("leg_ohms", 0, NotNegative, times[Splice](2), between[Splice](0, 0.01), func(s *Splice) *float64 { return &s.LegOhms }),
	}
)

// The lengths that a wire may have whose length nobody gives (section 5).
const (
	leastLengthM = 0.3
	mostLengthM  = 3
)

// WireSpan is from where to where a wire's ohms may lie without its splices: 20 % for its length and size, or the
// lengths that it may have.
func WireSpan(w Wire) (low, high float64) {
	if !w.LengthGiven {
		return models.WireOhms(w.SizeMM2, leastLengthM), models.WireOhms(w.SizeMM2, mostLengthM)
	}
	return 0.8 * w.Ohms, 1.2 * w.Ohms
}
