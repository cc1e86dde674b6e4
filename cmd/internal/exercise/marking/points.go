package marking

import (
	_ "embed"
	"errors"
	"fmt"
	"strings"

	"github.com/BurntSushi/toml"

	"ohmtrail/circuits/read"
)

//go:embed points.toml
var pointsText string

// Points is what a way through an exercise is worth.
type Points struct {
	Gain Gain `toml:"gain"`
	Loss Loss `toml:"loss"`
}

// Gain is the most that each part of a way brings.
type Gain struct {
	Place   float64 `toml:"place"`
	Kind    float64 `toml:"kind"`
	Proof   float64 `toml:"proof"`
	Reasons float64 `toml:"reasons"`
	Placing float64 `toml:"placing"`
	Telling float64 `toml:"telling"`
	Minutes float64 `toml:"minutes"`
	Remedy  float64 `toml:"remedy"`
}

// Loss is what each mistake costs.
type Loss struct {
	GoodPart  float64 `toml:"good_part"`
	GoodJoint float64 `toml:"good_joint"`
	Unsafe    float64 `toml:"unsafe"`
	Guess     float64 `toml:"guess"`
}

// DefaultPoints are the points in use when nobody edits them.
func DefaultPoints() Points {
	p, err := ReadPoints("points.toml", []byte(pointsText))
	if err != nil {
		panic("marking: " + err.Error()) // our own file
	}
	return p
}

// PointsText is the default points as a file, to be copied and edited.
func PointsText() string { return pointsText }

// ReadPoints reads a file of points. A part that it leaves away is worth nothing.
func ReadPoints(name string, text []byte) (Points, error) {
	var p Points
	if err := decode(name, text, &p); err != nil {
		return p, err
	}
	for _, v := range []float64{p.Gain.Place, p.Gain.Kind, p.Gain.Proof, p.Gain.Reasons, p.Gain.Placing, p.Gain.Telling, p.Gain.Minutes, p.Gain.Remedy,
		p.Loss.GoodPart, p.Loss.GoodJoint, p.Loss.Unsafe, p.Loss.Guess} {
		if !(v >= 0 && v <= 1000) {
			return p, fmt.Errorf("%s: points of %g: write numbers from 0 to 1000; losses are taken away, so they stand without a minus", name, v)
		}
	}
	if p.most() == 0 {
		return p, fmt.Errorf("%s: nothing brings points: write some under [gain]", name)
	}
	return p, nil
}

// most is the most that a way can bring.
func (p Points) most() float64 {
	g := p.Gain
	return g.Place + g.Kind + g.Proof + g.Reasons + g.Placing + g.Telling + g.Minutes + g.Remedy
}

// Override is a trainer's word on one play.
type Override struct {
	Student  string             `toml:"student"`
	Exercise string             `toml:"exercise"`
	Set      map[string]float64 `toml:"set"`   // a part's points, by the part's name in the table
	Total    *float64           `toml:"total"` // the whole, whatever the parts say
	Note     string             `toml:"note"`
}

// ReadOverrides reads a file of [[override]].
func ReadOverrides(name string, text []byte) ([]Override, error) {
	var f struct {
		Override []Override `toml:"override"`
	}
	if err := decode(name, text, &f); err != nil {
		return nil, err
	}
	for i, o := range f.Override {
		switch {
		case o.Student == "" || o.Exercise == "":
			return nil, fmt.Errorf("%s: override %d: name its student and its exercise", name, i+1)
		case o.Total != nil && !(*o.Total >= -1000 && *o.Total <= 1000):
			return nil, fmt.Errorf("%s: override %d: a total of %g", name, i+1, *o.Total)
		}
		for part, v := range o.Set {
			if !isPart(part) {
				return nil, fmt.Errorf("%s: override %d: no part is called %q; the parts are %s", name, i+1, part, strings.Join(partNames, ", "))
			}
			if !(v >= -1000 && v <= 1000) {
				return nil, fmt.Errorf("%s: override %d: %s of %g", name, i+1, part, v)
			}
		}
	}
	return f.Override, nil
}

// decode reads a small TOML file of which every key must be known.
func decode(name string, text []byte, into any) error {
	if line := read.TooDeep(text); line > 0 {
		return fmt.Errorf("%s:%d: brackets are nested too deeply", name, line)
	}
	meta, err := toml.Decode(string(text), into)
	var at toml.ParseError
	switch {
	case errors.As(err, &at):
		return fmt.Errorf("%s:%d: %s", name, at.Position.Line, strings.TrimSuffix(at.Message, "."))
	case err != nil:
		return fmt.Errorf("%s: %s", name, strings.TrimPrefix(err.Error(), "toml: "))
	case len(meta.Undecoded()) > 0:
		return fmt.Errorf("%s: there is no key %q here", name, meta.Undecoded()[0])
	}
	return nil
}
