package exercise

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"strings"
	"unicode"

	"github.com/BurntSushi/toml"

	"ohmtrail/circuits"
	"ohmtrail/circuits/read"
	"ohmtrail/cmd/internal/draft/circuittext"
	"ohmtrail/cmd/internal/exercise/seal"
)

// Ending is the end of an exercise file's name.
const Ending = ".exercise.toml"

// openPart is an exercise file as TOML: what is open, and the sealed rest.
type openPart struct {
	Format       int                `toml:"format"`
	Name         string             `toml:"name"`
	Machine      string             `toml:"machine"`
	Complaint    string             `toml:"complaint"`
	Codes        []string           `toml:"codes"`
	Intermittent bool               `toml:"intermittent"`
	Stands       map[string]float64 `toml:"stands"`
	Questions    []string           `toml:"questions"`
	CircuitName  string             `toml:"circuit_name"`
	Circuit      string             `toml:"circuit"`
	Sealed       string             `toml:"sealed"`
}

// Text writes an exercise as a file: open what a student may see, sealed what not. The sealed part's bytes differ from
// call to call, what they hold does not.
func (x *Exercise) Text() ([]byte, error) {
	open := x.openText()
	sealed, err := x.sealed(open)
	if err != nil {
		return nil, err
	}
	return []byte(open + "sealed = '''\n" + sealed + "'''\n"), nil
}

// openText is the open part, in a fixed form: the sealed part holds its sum.
func (x *Exercise) openText() string {
	var b strings.Builder
	b.WriteString("# A machine with a hidden fault: ohmtrail exercise play FILE\n")
	key := func(name, value string) { b.WriteString(name + " = " + value + "\n") }
	q := circuittext.Quote
	list := func(all []string) string {
		var out []string
		for _, s := range all {
			out = append(out, q(s))
		}
		return "[" + strings.Join(out, ", ") + "]"
	}
	key("format", "1")
	key("name", q(x.Name))
	key("machine", q(x.Machine))
	key("complaint", q(x.Complaint))
	key("codes", list(x.Codes))
	key("intermittent", fmt.Sprint(x.Intermittent))
	var stands []string
	for _, s := range x.Stands {
		stands = append(stands, circuittext.Key(s.Device)+" = "+circuittext.Number(s.Set))
	}
	key("stands", "{ "+strings.Join(stands, ", ")+" }")
	b.WriteString("questions = [\n")
	for _, s := range x.Questions {
		b.WriteString("  " + q(s) + ",\n")
	}
	b.WriteString("]\n")
	key("circuit_name", q(x.CircuitName))
	key("circuit", longText(x.CircuitText))
	return b.String()
}

// longText writes a text of many lines as it stands where TOML can hold it so.
func longText(s string) string {
	plainText := !strings.Contains(s, "'''") && !strings.HasSuffix(s, "'") && strings.IndexFunc(s, func(r rune) bool {
		return unicode.IsControl(r) && r != '\n' && r != '\t' || r == unicode.ReplacementChar
	}) < 0
	if plainText {
		return "'''\n" + s + "'''"
	}
	return circuittext.Quote(s)
}

// sum ties the sealed part to the open one, so that neither is changed without the other.
func sum(open string) string {
	h := sha256.Sum256([]byte(open))
	return hex.EncodeToString(h[:])
}

// Read reads an exercise file. The error is one line that names the file and says what is wrong with it.
func Read(name string, text []byte) (*Exercise, error) {
	x, err := fromText(name, text)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return x, nil
}

func fromText(name string, text []byte) (*Exercise, error) {
	text = bytes.ReplaceAll(bytes.TrimPrefix(text, []byte("\xef\xbb\xbf")), []byte("\r\n"), []byte("\n")) // a mail program's line ends
	if line := read.TooDeep(text); line > 0 {
		return nil, fmt.Errorf("line %d: brackets are nested too deeply: this is no exercise", line)
	}
	var o openPart
	meta, err := toml.Decode(string(text), &o)
	var at toml.ParseError
	switch {
	case errors.As(err, &at):
		return nil, fmt.Errorf("line %d: %s: this is no exercise file, or it is damaged", at.Position.Line, at.Message)
	case err != nil:
		return nil, fmt.Errorf("this is no exercise file: %s", strings.TrimPrefix(err.Error(), "toml: "))
	case o.Sealed == "":
		return nil, errors.New("this is no exercise, for it has no sealed part; exercises are made of a circuit by `ohmtrail exercise make`")
	case len(meta.Undecoded()) > 0:
		return nil, fmt.Errorf("an exercise has no key %q", meta.Undecoded()[0])
	case o.Format != 1:
		return nil, fmt.Errorf("format is %d, and this program reads format 1", o.Format)
	case o.Circuit == "":
		return nil, errors.New("the circuit is missing: this is no whole exercise file")
	}
	for _, text := range append([]*string{&o.Name, &o.Machine, &o.Complaint, &o.CircuitName}, pointers(o.Codes, o.Questions)...) {
		if *text != Clean(*text) {
			return nil, errors.New("its words hold what steers a terminal: this is no exercise of ours")
		}
	}
	for _, text := range append([]*string{&o.Name, &o.Machine, &o.Complaint, &o.CircuitName}, pointers(o.Codes, o.Questions)...) {
		if *text != Clean(*text) {
			return nil, errors.New("its words hold what steers a terminal: this is no exercise of ours")
		}
	}
	c, problems := read.Circuit(o.CircuitName, []byte(o.Circuit))
	if c == nil {
		return nil, fmt.Errorf("its circuit: %s", problems.Errors()[0].Error())
	}
	if c.Pyrotechnic {
		return nil, ErrPyrotechnic
	}
	x := &Exercise{Name: o.Name, Machine: o.Machine, Complaint: o.Complaint, Codes: o.Codes, Intermittent: o.Intermittent, Questions: o.Questions,
		CircuitName: o.CircuitName, CircuitText: o.Circuit, Circuit: c, Meter: circuits.DefaultMeter()}
	for i := range c.Devices { // in file order
		d := &c.Devices[i]
		if set, ok := o.Stands[d.Name]; ok {
			if !d.Kind.HasStimulus() || set != set || set < d.Range[0] || set > d.Range[1] {
				return nil, fmt.Errorf("stands: %s cannot stand at %g", d.Name, set)
			}
			x.Stands = append(x.Stands, circuits.SetDevice{Device: d.Name, Set: set})
		}
	}
	if len(x.Stands) != len(o.Stands) {
		return nil, errors.New("stands: it names a part that the circuit has not")
	}
	if err := x.unseal(o.Sealed); err != nil {
		return nil, err
	}
	return x, nil
}

func pointers(lists ...[]string) []*string {
	var out []*string
	for _, list := range lists {
		for i := range list {
			out = append(out, &list[i])
		}
	}
	return out
}

// ErrPyrotechnic says why there are no exercises on a circuit.
var ErrPyrotechnic = errors.New("this is a pyrotechnic circuit (airbag, belt tensioner): nobody learns on it by measuring, for a meter's current can fire it; teach it with the maker's procedure")

// LooksLikeExercise tells an exercise from other files by its name or its keys.
func LooksLikeExercise(name string, text []byte) bool {
	return strings.HasSuffix(name, Ending) || strings.Contains(string(text), "\nsealed = ") && strings.Contains(string(text), "\nstands = ")
}

// open is what Open gives, with words for a user.
func open(sealed string) ([]byte, error) {
	plain, err := seal.Open(sealed)
	if errors.Is(err, seal.ErrPhrase) {
		return nil, errors.New("the sealed part was not closed by this program, or it is damaged")
	}
	return plain, err
}
