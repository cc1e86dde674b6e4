package exercise

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"github.com/agnivade/levenshtein"

	"ohmtrail/circuits"
	"ohmtrail/circuits/read"
	"ohmtrail/models"
)

// Grammar is what Parse understands, for help texts.
const Grammar = `A reading: what is measured, where the leads are, and what the machine is put into.
  volts POINT [to POINT]     red lead, black lead (B- unless said otherwise)
  ohms POINT to POINT        only with the key off
  amps PLACE                 the meter in the place of a contact or wire
  scan PIN                   what the module reports of its own input, in volts
and behind it, in any order:
  key off|on|run             on, unless said otherwise
  unplug NAME…               connectors or parts taken apart
  jumper POINT POINT         a fused lead
  load POINT POINT OHMS      a test resistor
  lamp POINT POINT           a test lamp of 5 W
  set PART=VALUE…            a part moved or switched: set TPS=0.9
  wiggle PLACE               the place moved by hand meanwhile
  watch                      lowest and highest value over two minutes
Others:
  look PLACE                 look at and feel a contact, connector, wire, splice, stud or part
  ask [NUMBER]               ask the operator (alone: what can be asked)
  repair PLACE               put it right, or replace the part, and try the machine
  find FAULT; REMEDY         name the fault and what is to be done: this ends the exercise
    open PLACE, high-resistance PLACE, short-to-ground PLACE, short-to-voltage PLACE,
    short-between PLACE PLACE, swapped PLACE PLACE, healthy, two of them joined by " + ",
    device NAME: open inside|shorted inside|reads wrong,
    module NAME:PIN open inside|reference dead|reference low|pull-up lost|stuck on|stuck off
A POINT is a contact (MHS:2), at a connector one half of it (C7:2/mast), a part's own pin with the part
unplugged (MHS:2/device), a stud, B+ or B-. A PLACE is a contact, a wire (MCU:A2>C7:2), a stud or a part.
A reason may stand behind any of them: … because REASON.`

// clauses are the words that begin a part of a reading, with what they want.
var clauses = []string{"to", "key", "unplug", "jumper", "load", "lamp", "set", "wiggle", "watch"}

// verbs are the words that begin a line.
var verbs = []string{"volts", "ohms", "amps", "scan", "look", "ask", "repair", "find"}

// longestLine is the longest line that is taken, in bytes.
const longestLine = 4000

// Parse reads one line of Grammar for an exercise. The error says what is wrong with it and what was probably meant;
// such a line costs nothing and is not kept.
func Parse(x *Exercise, line string) (Action, error) {
	if len(line) > longestLine {
		return Action{}, fmt.Errorf("a line of more than %d bytes is too long", longestLine)
	}
	line = Clean(line)
	what, reason := cutWord(line, "because")
	a := Action{Line: what, Reason: reason}
	verb, rest, _ := strings.Cut(what, " ")
	var err error
	switch verb = strings.ToLower(verb); verb {
	case "volts", "ohms", "amps", "scan":
		a.Kind = Measure
		err = a.measure(x, verb, strings.Fields(rest))
	case "look", "repair":
		a.Kind = Kind(verb)
		a.At, err = place(x.Circuit, a.Kind, rest)
	case "ask":
		a.Kind = Ask
		n, e := strconv.Atoi(strings.TrimSuffix(rest, "."))
		if a.Question = n - 1; e != nil || n < 1 || n > len(x.Questions) {
			err = fmt.Errorf("%q is none of the %d questions: ask 1 to %d", rest, len(x.Questions), len(x.Questions))
		}
	case "find":
		a.Kind = Find
		err = a.finding(x, rest)
	case "":
		err = fmt.Errorf("nothing was typed: begin with %s", strings.Join(verbs, ", "))
	default:
		err = fmt.Errorf("nothing begins with %q: %s", verb, nearest(verb, verbs))
	}
	return a, err
}

// Clean makes one line of a text that somebody typed or a file brought: nothing in it steers a terminal.
func Clean(s string) string {
	s = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || unicode.Is(unicode.Cf, r) {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(s, "�"))
	return strings.Join(strings.Fields(s), " ")
}

// cutWord cuts a line at a word that stands alone.
func cutWord(line, word string) (before, after string) {
	words := strings.Split(line, " ")
	for i, w := range words {
		if i > 0 && strings.EqualFold(strings.Trim(w, ":,"), word) {
			return strings.TrimSuffix(strings.Join(words[:i], " "), ","), strings.Join(words[i+1:], " ")
		}
	}
	return line, ""
}

// nearest is what was probably meant, or all that is known.
func nearest(word string, known []string) string {
	best, distance := "", 3
	for _, k := range known {
		if d := levenshtein.ComputeDistance(strings.ToLower(word), k); d < distance && 2*d < len(k) {
			best, distance = k, d
		}
	}
	if best != "" {
		return "did you mean " + best + "?"
	}
	return "known are " + strings.Join(known, ", ")
}

// measure reads a reading; a job file's own reader checks it.
func (a *Action) measure(x *Exercise, verb string, words []string) error {
	quantity := verb
	if verb == "scan" {
		quantity = string(circuits.ScanVolts)
	}
	head, parts, err := clausesOf(words)
	if err != nil {
		return err
	}
	if len(head) != 1 {
		return fmt.Errorf("%s wants one point, such as %s %s", verb, verb, examplePoint(x.Circuit, quantity))
	}
	said := read.Said{At: head[0], Quantity: quantity}
	for _, p := range parts {
		if err := a.clause(x.Circuit, &said, p); err != nil {
			return err
		}
	}
	r, problems := read.Reading(x.Circuit, said)
	if errs := problems.Errors(); len(errs) > 0 {
		return fmt.Errorf("%s", sentence(errs[0]))
	}
	a.Reading = r
	return nil
}

func sentence(p circuits.Problem) string {
	if p.Hint == "" {
		return p.What
	}
	return p.What + "; " + p.Hint
}

// clausesOf parts the words of a reading at those that begin a clause.
func clausesOf(words []string) (head []string, parts [][]string, err error) {
	for _, w := range words {
		w = strings.TrimSuffix(w, ",")
		known := false
		for _, c := range clauses {
			known = known || strings.EqualFold(w, c)
		}
		switch {
		case known:
			parts = append(parts, []string{strings.ToLower(w)})
		case len(parts) == 0:
			head = append(head, w)
		default:
			last := &parts[len(parts)-1]
			*last = append(*last, w)
		}
	}
	if len(head) > 1 {
		return nil, nil, fmt.Errorf("%q is not understood: %s", head[1], nearest(head[1], clauses))
	}
	return head, parts, nil
}

func examplePoint(c *circuits.Circuit, quantity string) string {
	if quantity == string(circuits.ScanVolts) {
		for _, m := range c.Modules {
			for _, p := range m.Pins {
				if p.Kind == circuits.PinInput {
					return p.Point().String()
				}
			}
		}
	}
	if len(c.Contacts) > 0 {
		return c.Contacts[len(c.Contacts)-1].Location.String()
	}
	return "B+"
}

// lampWatts is the test lamp: 5 W at the battery's voltage, hot.
const lampWatts = 5

// clause takes one part of a reading.
func (a *Action) clause(c *circuits.Circuit, said *read.Said, p []string) error {
	word, args := p[0], p[1:]
	want := map[string]int{"to": 1, "key": 1, "jumper": 2, "load": 3, "lamp": 2, "wiggle": 1, "watch": 0}
	if n, fixed := want[word]; fixed && len(args) != n {
		return fmt.Errorf("%s wants %s, and %d stand there", word, map[int]string{0: "nothing behind it", 1: "one word", 2: "two points", 3: "two points and ohms"}[n], len(args))
	}
	if len(args) == 0 && word != "watch" {
		return fmt.Errorf("%s wants at least one name", word)
	}
	switch word {
	case "to":
		said.To = args[0]
	case "key":
		said.Key = strings.ToLower(args[0])
	case "wiggle":
		said.Wiggle = args[0]
	case "watch":
		a.Watch = true
	case "unplug":
		for _, name := range args {
			if name != "and" {
				said.Unplugged = append(said.Unplugged, name)
			}
		}
	case "jumper":
		said.Jumpers = append(said.Jumpers, [2]string{args[0], args[1]})
	case "lamp":
		a.Lamp = true
		volts := c.Battery.Volts
		said.Loads = append(said.Loads, read.SaidLoad{From: args[0], To: args[1], Ohms: volts * volts / lampWatts})
	case "load":
		ohms, err := models.ParseOhms(strings.TrimSuffix(strings.TrimSuffix(args[2], "Ω"), "ohms"))
		if err != nil {
			return fmt.Errorf("%q is no resistance: write load %s %s 220", args[2], args[0], args[1])
		}
		said.Loads = append(said.Loads, read.SaidLoad{From: args[0], To: args[1], Ohms: ohms})
	case "set":
		for _, pair := range args {
			name, value, ok := strings.Cut(pair, "=")
			v, err := strconv.ParseFloat(strings.Replace(value, ",", ".", 1), 64)
			if !ok || err != nil || v != v || v > 1e9 || v < -1e9 {
				return fmt.Errorf("%q is no setting: write set PART=VALUE, such as set TPS=0.9", pair)
			}
			if slices.ContainsFunc(said.Set, func(d circuits.SetDevice) bool { return d.Device == name }) {
				return fmt.Errorf("%s is set twice", name)
			}
			said.Set = append(said.Set, circuits.SetDevice{Device: name, Set: v})
		}
	}
	return nil
}

// place reads what is looked at or repaired.
func place(c *circuits.Circuit, kind Kind, text string) (circuits.Location, error) {
	if text == "" || strings.Contains(text, " ") {
		return circuits.Location{}, fmt.Errorf("%s wants one place, such as %s", kind, examplePoint(c, ""))
	}
	l, err := c.Somewhere(text)
	if err != nil {
		return l, err
	}
	if kind == Repair && !l.IsWire() {
		l.From = l.From.Terminal()
		if c.Connector(l.From.Place) != nil && l.From.Cavity == "" || c.Splice(l.From.Place) != nil {
			return l, fmt.Errorf("%s is more than one joint: name the contact or the wire that is put right", l)
		}
		if l.From.Place == "B+" || l.From.Place == "B-" {
			return l, fmt.Errorf("%s is a battery post, and there is nothing to repair at it in this exercise", l)
		}
	}
	return l, nil
}

// finding reads FAULT; REMEDY.
func (a *Action) finding(x *Exercise, text string) error {
	name, remedy, _ := strings.Cut(text, ";")
	f, err := circuits.ParseFault(strings.TrimSpace(name))
	if err == nil {
		f, err = x.Circuit.ResolveFault(f)
	}
	if err != nil {
		return err
	}
	a.Fault, a.Remedy = f.WithoutOhms(), strings.TrimSpace(remedy)
	return nil
}
