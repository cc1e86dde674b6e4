// Package library holds the circuits that come along, to learn from and to begin with.
package library

import (
	"embed"
	"fmt"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/circuits/read"
	"ohmtrail/circuits/wording"
)

//go:embed *.circuit.toml
var files embed.FS

const (
	prefix = "library:"
	suffix = ".circuit.toml"
)

// Names are the circuits of the embedded library, in alphabetical order.
func Names() []string {
	entries, err := files.ReadDir(".")
	if err != nil {
		panic(err) // the folder is compiled in
	}
	var out []string
	for _, e := range entries {
		out = append(out, strings.TrimSuffix(e.Name(), suffix))
	}
	return out
}

// Holds tells whether a circuit name points into the embedded library.
func Holds(name string) bool { return strings.HasPrefix(name, prefix) }

// Text is the text of an embedded circuit, named with or without "library:".
func Text(name string) ([]byte, error) {
	short := strings.TrimPrefix(name, prefix)
	text, err := files.ReadFile(short + suffix)
	if err != nil {
		return nil, fmt.Errorf("the library has no circuit %q%s", short, wording.After(wording.DidYouMean(short, Names())))
	}
	return text, nil
}

// Circuit parses an embedded circuit.
func Circuit(name string) (*circuits.Circuit, error) {
	text, err := Text(name)
	if err != nil {
		return nil, err
	}
	c, problems := read.Circuit(prefix+strings.TrimPrefix(name, prefix), text)
	if c == nil {
		return nil, problems.Errors()
	}
	return c, nil
}
