package draft

import (
	"fmt"
	"strconv"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/models"
)

// part is one part with its answers, filled question by question.
type part struct {
	kind        kind
	name, label string
	lines       []line
	starts      []start // one a line
	cavities    []string
	steps       []step
	routes      []route
	colors      []string
	sizeMM2     float64
	lengths     [][]float64       // metres, by line and wire
	values      map[string]string // answers that only the writing needs: ohms, beta, pull, bias, reads, codes
	low, high   string            // codes
	fuse        fuse
	far         far             // can
	assumed     map[string]bool // questions that took their usual answer
}

// start is where a line begins.
type start struct {
	at   string // atPin, atBattery, atGround
	name string // cavity of the module, or name of the stud
}

// fuse stands in a battery feed; no name means none.
type fuse struct {
	name string
	amps float64
}

// far is a module at the other end of a bus; no name means none.
type far struct {
	name string
	pins []string
}

// fed tells whether a line of the part comes from the battery.
func (p *part) fed() bool {
	for _, s := range p.starts {
		if s.at == atBattery {
			return true
		}
	}
	return false
}

// asksFor tells whether the part's kind has a question; a switch to battery pulls down instead of up.
func (p *part) asksFor(question string) bool {
	_, ok := p.kind.usual[question]
	return ok
}

// splitList reads a list parted by commas or blanks.
func splitList(answer string) []string {
	return strings.FieldsFunc(answer, func(r rune) bool { return r == ',' || r == ' ' || r == '\t' })
}

// plainName checks a name that a path can hold without a cavity.
func plainName(s string) error {
	p, err := circuits.ParsePoint(s)
	if err != nil || p.Cavity != "" || strings.Contains(s, ".") || p == circuits.BPositive || p == circuits.BNegative {
		return fmt.Errorf("%q cannot be a name: use letters, digits, '_', '-' or '#'", s)
	}
	return nil
}

// cavityName checks a cavity.
func cavityName(s string) error {
	if p, err := circuits.ParsePoint("X:" + s); err != nil || p.Side != "" {
		return fmt.Errorf("%q cannot be a cavity: use letters and digits, such as A1", s)
	}
	return nil
}

// positiveNumber reads a number above zero, with a decimal point or comma.
func positiveNumber(s string) (float64, error) {
	v, err := strconv.ParseFloat(strings.Replace(s, ",", ".", 1), 64)
	if err != nil || !(v > 0) || v > 1e9 {
		return 0, fmt.Errorf("%q is no number above zero", s)
	}
	return v, nil
}

// ohmsAnswer checks a resistance and gives it as TOML text: the letter code in quotes, or a number.
func ohmsAnswer(s string) error {
	v, err := models.ParseOhms(s)
	if err != nil {
		return err
	}
	if v <= 0 {
		return fmt.Errorf("%q: a resistance above zero is needed", s)
	}
	return nil
}

// pullAnswer checks "up 2k2", "down 220k" or "none".
func pullAnswer(s string) error {
	if s == "none" {
		return nil
	}
	direction, ohms, ok := strings.Cut(s, " ")
	if !ok || direction != "up" && direction != "down" {
		return fmt.Errorf(`%q: write "up 2k2", "down 220k" or "none"`, s)
	}
	return ohmsAnswer(strings.TrimSpace(ohms))
}

// readsAnswer checks "LOW HIGH UNIT", such as "0 250 kPa", or "none".
func readsAnswer(s string) error {
	if s == "none" {
		return nil
	}
	f := strings.Fields(s)
	if len(f) != 3 {
		return fmt.Errorf(`%q: write the value at the lowest and at the highest output and the unit, such as "0 250 kPa"`, s)
	}
	for _, number := range f[:2] {
		if v, err := strconv.ParseFloat(number, 64); err != nil || v-v != 0 {
			return fmt.Errorf("%q is no number", number)
		}
	}
	return nil
}
