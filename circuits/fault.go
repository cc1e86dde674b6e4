package circuits

import (
	"fmt"
	"strconv"
	"strings"

	"ohmtrail/circuits/wording"
	"ohmtrail/models"
)

// FaultKind is what went wrong at a place.
type FaultKind uint8

// The kinds of fault, in the words of the contract.
const (
	Healthy FaultKind = iota
	Open
	HighResistance
	ShortToGround
	ShortToVoltage
	ShortBetween
	Swapped
	DeviceInside
	ModuleInside
	Unlisted
)

var kindNames = [...]string{"healthy", "open", "high-resistance", "short-to-ground", "short-to-voltage", "short-between",
	"swapped", "device", "module", "unlisted"}

// String is the kind's word in fault names.
func (k FaultKind) String() string { return kindNames[k] }

// Words of faults inside a device.
const (
	OpenInside    = "open inside"
	ShortedInside = "shorted inside"
	ReadsWrong    = "reads wrong"
)

// Words of faults inside a module pin, beside OpenInside.
const (
	ReferenceDead = "reference dead"
	ReferenceLow  = "reference low"
	PullUpLost    = "pull-up lost"
	StuckOn       = "stuck on"
	StuckOff      = "stuck off"
)

// Single is one fault at one place (or between two places). It is comparable.
type Single struct {
	Kind    FaultKind
	At      Location
	To      Location // the other place of ShortBetween and Swapped
	Words   string   // DeviceInside and ModuleInside
	Ohms    float64  // the added or shorting resistance, where HasOhms; of ReferenceLow what is added to its source_ohms
	HasOhms bool
	Shows   float64 // the stimulus that a part shows which reads wrong, on a machine that has the fault
	Share   float64 // of its volts that a reference gives which is low, on a machine that has the fault; 0 for all of them
}

// Fault is no fault, one, or two at once. It is comparable; the zero Fault is healthy.
type Fault struct{ First, Second Single }

// IsDouble tells whether two faults are there at once.
func (f Fault) IsDouble() bool { return f.Second.Kind != Healthy }

// TakesOhms tells whether the kind has a resistance: added in series, or of the short.
func (k FaultKind) TakesOhms() bool {
	return k == HighResistance || k == ShortToGround || k == ShortToVoltage || k == ShortBetween
}

// WithOhms is the single fault with its resistance known.
func (s Single) WithOhms(ohms float64) Single {
	s.Ohms, s.HasOhms = ohms, true
	return s
}

// How low a reference is that is low: in volts, as a share of its nominal ones, or in volts under load, by ohms added to its source.
const (
	LeastReferenceShare, MostReferenceShare = 0.5, 0.98
	LeastReferenceOhms, MostReferenceOhms   = 10.0, 1000.0
)

// IsLowReference tells whether a module's reference gives less than it should.
func (s Single) IsLowReference() bool { return s.Kind == ModuleInside && s.Words == ReferenceLow }

// WithShare is a low reference that gives that share of its volts.
func (s Single) WithShare(share float64) Single {
	s.Share = share
	return s
}

// Lowered is the number of volts that a low reference gives, and what it has inside. One that is said to be low and no more gives the
// middle of what low is.
func (s Single) Lowered(volts, sourceOhms float64) (lowVolts, lowOhms float64) {
	switch {
	case s.HasOhms:
		return volts, sourceOhms + s.Ohms
	case s.Share == 0:
		s.Share = (LeastReferenceShare + MostReferenceShare) / 2
	}
	return volts * s.Share, sourceOhms
}

// WithoutOhms is the single fault whatever its resistance, or what its part shows, or how low it is.
func (s Single) WithoutOhms() Single {
	s.Ohms, s.HasOhms, s.Shows, s.Share = 0, false, 0, 0
	return s
}

// String is the fault's name in the contract's words.
func (s Single) String() string {
	var b strings.Builder
	switch s.Kind {
	case Healthy, Unlisted:
		return s.Kind.String()
	case DeviceInside:
		return fmt.Sprintf("device %s: %s", s.At, s.Words)
	case ModuleInside:
		return fmt.Sprintf("module %s %s", s.At.From.Terminal(), s.Words)
	}
	b.WriteString(s.Kind.String() + " " + s.At.String())
	if !s.To.IsZero() {
		b.WriteString(" " + s.To.String())
	}
	if s.HasOhms {
		b.WriteString(" " + strconv.FormatFloat(s.Ohms, 'f', -1, 64))
	}
	return b.String()
}

// String is the fault's name in the contract's words; two faults are joined with " + ".
func (f Fault) String() string {
	if f.IsDouble() {
		return f.First.String() + " + " + f.Second.String()
	}
	return f.First.String()
}

// WithoutOhms is the fault whatever its resistances, or what its parts show.
func (f Fault) WithoutOhms() Fault {
	return Fault{f.First.WithoutOhms(), f.Second.WithoutOhms()}
}

// ParseFault reads a fault name. It checks the form only; whether the places exist is the circuit's to say.
func ParseFault(name string) (Fault, error) {
	parts := strings.Split(name, " + ")
	if len(parts) > 2 {
		return Fault{}, fmt.Errorf("fault %q: two faults at once at the most", name)
	}
	first, err := parseSingle(parts[0])
	if err != nil {
		return Fault{}, err
	}
	f := Fault{First: first}
	if len(parts) == 2 {
		if f.Second, err = parseSingle(parts[1]); err != nil {
			return Fault{}, err
		}
		for _, s := range []Single{f.First, f.Second} {
			if s.Kind == Healthy || s.Kind == Unlisted {
				return Fault{}, fmt.Errorf("fault %q: %q cannot be joined with another fault", name, s.Kind)
			}
		}
	}
	return f, nil
}

func parseSingle(text string) (Single, error) {
	words := strings.Fields(text)
	if len(words) == 0 {
		return Single{}, fmt.Errorf("a fault has no name; write for example \"open C7:3\" or \"healthy\"")
	}
	kind := FaultKind(len(kindNames))
	for k, n := range kindNames {
		if n == words[0] {
			kind = FaultKind(k)
		}
	}
	switch kind {
	case FaultKind(len(kindNames)):
		return Single{}, fmt.Errorf("fault %q: no fault begins with %q; %s", text, words[0], wording.DidYouMean(words[0], kindNames[:]))
	case Healthy, Unlisted:
		if len(words) > 1 {
			return Single{}, fmt.Errorf("fault %q: %q stands alone", text, kind)
		}
		return Single{Kind: kind}, nil
	case DeviceInside:
		return parseDeviceFault(text)
	case ModuleInside:
		return parseModuleFault(text, words)
	}
	return parsePlaceFault(text, kind, words[1:])
}

func parsePlaceFault(text string, kind FaultKind, args []string) (Single, error) {
	s := Single{Kind: kind}
	places := 1
	if kind == ShortBetween || kind == Swapped {
		places = 2
	}
	if len(args) < places {
		return Single{}, fmt.Errorf("fault %q: %s needs %s, such as C7:3 or C7:3>S2", text, kind, wording.Count(places, "place"))
	}
	var err error
	if s.At, err = ParseLocation(args[0]); err != nil {
		return Single{}, fmt.Errorf("fault %q: %w", text, err)
	}
	if places == 2 {
		if s.To, err = ParseLocation(args[1]); err != nil {
			return Single{}, fmt.Errorf("fault %q: %w", text, err)
		}
	}
	rest := args[places:]
	switch {
	case len(rest) == 0:
	case len(rest) == 1 && kind.TakesOhms():
		if s.Ohms, err = models.ParseOhms(rest[0]); err != nil {
			return Single{}, fmt.Errorf("fault %q: %w", text, err)
		}
		s.HasOhms = true
	default:
		return Single{}, fmt.Errorf("fault %q: %q is too much after %s", text, strings.Join(rest, " "), kind)
	}
	return s, nil
}

func parseDeviceFault(text string) (Single, error) {
	name, words, ok := strings.Cut(strings.TrimPrefix(strings.TrimSpace(text), "device"), ":")
	name, words = strings.TrimSpace(name), strings.Join(strings.Fields(words), " ")
	known := []string{OpenInside, ShortedInside, ReadsWrong}
	if !ok || !ValidName(name) {
		return Single{}, fmt.Errorf("fault %q: write device NAME: WORDS, with WORDS one of %s", text, strings.Join(known, ", "))
	}
	for _, k := range known {
		if k == words {
			return Single{Kind: DeviceInside, At: PointLocation(Point{Place: name}), Words: words}, nil
		}
	}
	return Single{}, fmt.Errorf("fault %q: a device cannot be %q; %s", text, words, wording.DidYouMean(words, known))
}

func parseModuleFault(text string, fields []string) (Single, error) {
	known := []string{OpenInside, ReferenceDead, ReferenceLow, PullUpLost, StuckOn, StuckOff}
	if len(fields) < 3 {
		return Single{}, fmt.Errorf("fault %q: write module NAME:PIN WORDS, with WORDS one of %s", text, strings.Join(known, ", "))
	}
	p, err := ParsePoint(fields[1])
	if err != nil || p.Cavity == "" || p.Side != "" {
		return Single{}, fmt.Errorf("fault %q: %q is not a module pin; write module NAME:PIN WORDS", text, fields[1])
	}
	words := strings.Join(fields[2:], " ")
	for _, k := range known {
		if k == words {
			p.Side = "device"
			return Single{Kind: ModuleInside, At: PointLocation(p), Words: words}, nil
		}
	}
	return Single{}, fmt.Errorf("fault %q: a module pin cannot be %q; %s", text, words, wording.DidYouMean(words, known))
}
