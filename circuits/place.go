package circuits

import (
	"fmt"
	"strings"
	"unicode"
)

// Point is where a lead of a meter, a jumper or a load can touch: a terminal (with a side where it has two), or a
// splice, stud or battery post. It is comparable; the zero Point is no point at all.
type Point struct {
	Place  string // module, device, in-line connector, splice or stud, or "B+" or "B-"
	Cavity string // "" for a splice, stud or post
	Side   string // "" , "device" (the part's own pin), or the name of a half of an in-line connector
}

// Battery posts. BNegative is the zero of every voltage.
var (
	BPositive = Point{Place: "B+"}
	BNegative = Point{Place: "B-"}
)

// String is the point as a user writes it; ParsePoint reads it back.
func (p Point) String() string {
	s := p.Place
	if p.Cavity != "" {
		s += ":" + p.Cavity
	}
	if p.Side != "" {
		s += "/" + p.Side
	}
	return s
}

// IsZero tells whether p is no point.
func (p Point) IsZero() bool { return p == Point{} }

// Terminal is the point without its side.
func (p Point) Terminal() Point { return Point{Place: p.Place, Cavity: p.Cavity} }

// ParsePoint reads NAME, NAME:CAVITY or NAME:CAVITY/SIDE.
func ParsePoint(s string) (Point, error) {
	var p Point
	rest, side, hasSide := strings.Cut(s, "/")
	place, cavity, hasCavity := strings.Cut(rest, ":")
	p = Point{Place: place, Cavity: cavity, Side: side}
	if place == "B+" || place == "B-" {
		if hasCavity || hasSide {
			return Point{}, fmt.Errorf("%q: a battery post has no cavity or side; write %s", s, place)
		}
		return p, nil
	}
	if !ValidName(place) || hasCavity && !ValidName(cavity) || hasSide && !ValidName(side) || hasSide && !hasCavity {
		return Point{}, fmt.Errorf("%q is not a point: write NAME:CAVITY, NAME:CAVITY/SIDE, or the bare name of a splice, stud or battery post", s)
	}
	return p, nil
}

// ValidName allows letters, digits, '_', '-', '.' and '#', so that a name never holds what points and faults are
// punctuated with.
func ValidName(s string) bool {
	if s == "" || s == "." || s == "-" {
		return false
	}
	for _, r := range s {
		if !unicode.IsLetter(r) && !unicode.IsDigit(r) && !strings.ContainsRune("_-.#", r) {
			return false
		}
	}
	return true
}

// Location is where a fault can be: a wire (From and To), a mated contact, a stud's joint, a module pin's inside
// (NAME:CAVITY/device), or a device or module as a whole. It is comparable; the zero Location is nowhere.
type Location struct {
	From Point
	To   Point // zero unless the location is a wire
}

// WireLocation is the wire between two path elements, in path order.
func WireLocation(from, to Point) Location { return Location{From: from, To: to} }

// PointLocation is the contact, stud, pin inside, device or module that the point names.
func PointLocation(p Point) Location { return Location{From: p} }

// IsWire tells whether the location is a wire.
func (l Location) IsWire() bool { return !l.To.IsZero() }

// IsZero tells whether the location is nowhere.
func (l Location) IsZero() bool { return l == Location{} }

// String is the location as fault names write it.
func (l Location) String() string {
	if l.IsWire() {
		return l.From.String() + ">" + l.To.String()
	}
	return l.From.String()
}

// ParseLocation reads FROM>TO or a single point.
func ParseLocation(s string) (Location, error) {
	from, to, wire := strings.Cut(s, ">")
	a, err := ParsePoint(from)
	if err != nil {
		return Location{}, err
	}
	if !wire {
		return Location{From: a}, nil
	}
	b, err := ParsePoint(to)
	if err != nil {
		return Location{}, err
	}
	if a.Side != "" || b.Side != "" {
		return Location{}, fmt.Errorf("%q: a wire is named by its two ends without sides, such as C7:3>S2", s)
	}
	return Location{From: a, To: b}, nil
}
