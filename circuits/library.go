package circuits

import (
	"embed"
	"fmt"
	"strings"
)

//go:embed library/*.circuit.toml
var library embed.FS

const (
	libraryPrefix = "library:"
	circuitSuffix = ".circuit.toml"
)

// LibraryNames are the circuits of the embedded library, in alphabetical order.
func LibraryNames() []string {
	entries, err := library.ReadDir("library")
	if err != nil {
		panic(err) // the folder is compiled in
	}
	var out []string
	for _, e := range entries {
		out = append(out, strings.TrimSuffix(e.Name(), circuitSuffix))
	}
	return out
}

// IsLibraryName tells whether a circuit name points into the embedded library.
func IsLibraryName(name string) bool { return strings.HasPrefix(name, libraryPrefix) }

// LibraryText is the text of an embedded circuit, named with or without "library:".
func LibraryText(name string) ([]byte, error) {
	short := strings.TrimPrefix(name, libraryPrefix)
	text, err := library.ReadFile("library/" + short + circuitSuffix)
	if err != nil {
		return nil, fmt.Errorf("the library has no circuit %q%s", short, hintAfter(didYouMean(short, LibraryNames())))
	}
	return text, nil
}

// LibraryCircuit parses an embedded circuit.
func LibraryCircuit(name string) (*Circuit, error) {
	text, err := LibraryText(name)
	if err != nil {
		return nil, err
	}
	c, problems := ParseCircuit(libraryPrefix+strings.TrimPrefix(name, libraryPrefix), text)
	if c == nil {
		return nil, problems.Errors()
	}
	return c, nil
}
