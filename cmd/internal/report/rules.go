package report

import (
	_ "embed"
	"fmt"
	"slices"
	"strings"

	"github.com/BurntSushi/toml"
)

//go:embed rules.toml
var rulesText string

// RulesText is the text of the rules in use when nobody gives others: a file to begin one's own with.
func RulesText() string { return rulesText }

// Rule is one rule for repairs, with where it comes from.
type Rule struct {
	Name    string   `toml:"name"`
	Applies []string `toml:"applies"` // wire, splice, contact, bus, stud, part, module, squib, or all
	Value   string   `toml:"value"`   // filled in for {value} in Says
	Says    string   `toml:"says"`
	Source  string   `toml:"source"`
}

// rulePlaces are what a rule can apply to.
var rulePlaces = []string{"wire", "splice", "contact", "bus", "stud", "part", "module", "squib", "all"}

// DefaultRules are the rules that come with the program.
func DefaultRules() []Rule {
	rules, err := ParseRules("rules.toml", []byte(rulesText))
	if err != nil {
		panic(err.Error()) // compiled in
	}
	return rules
}

// ParseRules reads a file of rules; file is its name for messages. The error says what is wrong and what to do.
func ParseRules(file string, text []byte) ([]Rule, error) {
	var read struct {
		Rule []Rule `toml:"rule"`
	}
	meta, err := toml.Decode(string(text), &read)
	if err != nil {
		if parse, ok := err.(toml.ParseError); ok {
			return nil, fmt.Errorf("%s:%d: %s", file, parse.Position.Line, parse.Message)
		}
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	if unknown := meta.Undecoded(); len(unknown) > 0 {
		return nil, fmt.Errorf("%s: unknown key %q; a [[rule]] has name, applies, value, says and source", file, unknown[0])
	}
	for i, r := range read.Rule {
		called := fmt.Sprintf("%s: rule %d", file, i+1)
		if r.Name != "" {
			called += fmt.Sprintf(" (%s)", r.Name)
		}
		switch {
		case r.Says == "":
			return nil, fmt.Errorf(`%s: it says nothing; write says = "…"`, called)
		case r.Source == "":
			return nil, fmt.Errorf(`%s: it names no source; write source = "…", or "common practice, no source"`, called)
		case len(r.Applies) == 0:
			return nil, fmt.Errorf("%s: it applies to nothing; write applies = [%q] or others of %s", called, "wire", strings.Join(rulePlaces, ", "))
		}
		for _, a := range r.Applies {
			if !slices.Contains(rulePlaces, a) {
				return nil, fmt.Errorf("%s: nothing called %q can be repaired; applies takes %s", called, a, strings.Join(rulePlaces, ", "))
			}
		}
	}
	return read.Rule, nil
}

// rulesFor are the rules that apply to any of the kinds of place, in the order of the file.
func rulesFor(rules []Rule, kinds []string) []string {
	var out []string
	for _, r := range rules {
		applies := false
		for _, a := range r.Applies {
			applies = applies || a == "all" || slices.Contains(kinds, a)
		}
		if applies {
			says := strings.ReplaceAll(r.Says, "{value}", r.Value)
			out = append(out, say("correction.rule", "says", says, "source", r.Source))
		}
	}
	return out
}
