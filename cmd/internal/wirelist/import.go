// Package wirelist reads the from-to list that a wiring department exports, one row a wire, into a circuit file to go on
// from, and writes such a list, and a bill of test points, from a circuit.
//
//	CSV text -> rows -> wires -> places (what each name is) -> chains (through in-line connectors, all the same way round)
//	         -> nets (what each carries) -> devices, pins -> circuittext.File -> circuit file
//
// A wire list knows wires; it does not know what stands behind a pin, or what a part is. Those are guessed, each guess
// says in the file what it was made from, and every row that could not be placed is told with its line.
package wirelist

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/circuits/read"
)

// ImportOptions say how to read a list. The zero value finds everything by itself.
type ImportOptions struct {
	File      string            // the list's name, for messages
	Title     string            // of the circuit; "" takes the list's name
	Separator rune              // between cells; 0 finds it
	Columns   map[Column]string // header text, or number from 1, of columns that are not found by themselves
	// What names are, where they do not say it themselves.
	Modules, Devices, Connectors, Splices, Grounds []string
}

// Skeleton is a circuit file made from a list.
type Skeleton struct {
	Text     []byte            // parses without errors
	Problems circuits.Problems // in line order: errors are rows that could not be placed, warnings are guesses about rows
	Wires    int               // rows that stand in the file
	Remarks  circuits.Problems // what the check says of the file
}

// Import reads a list. The error says why nothing at all could be made of it; single rows that could not be placed are
// problems of the skeleton.
func Import(in io.Reader, o ImportOptions) (Skeleton, error) {
	if o.File == "" {
		o.File = "list"
	}
	l, err := readList(in, o)
	if err != nil {
		return Skeleton{}, err
	}
	judged, _ := l.places(o)
	l.settle(judged)
	found, order := l.places(o) // once more: a relay has become two parts, wires are gone
	for name, p := range found {
		if before := judged[name]; before != nil {
			p.kind, p.why = before.kind, before.why // the wires were settled by it
		} else {
			p.kind = aDevice
		}
	}
	l.needsModule(found)
	mates := l.mates(found)
	chains := l.orient(cutAtColours(l.wires, l.chains(mates)), found, mates)
	if len(chains) == 0 {
		return Skeleton{Problems: sorted(l.problems)}, fmt.Errorf("%s: no row could be placed: %w", o.File, sorted(l.problems).Errors())
	}
	l.keepPlaced(chains, found)
	chains, order = renumber(chains), l.stillNamed(order)
	of, _ := l.nets(found)
	parts := l.devicesOf(found, order, of)
	throughFuses(of, parts)
	d := draft{list: l, found: found, order: order, chains: chains, of: of, parts: parts}
	title := o.Title
	if title == "" {
		title = strings.TrimSuffix(filepath.Base(o.File), filepath.Ext(o.File))
	}
	text := d.file(title).Text()
	c, problems := read.Circuit(o.File+" (skeleton)", text)
	if c == nil {
		return Skeleton{}, fmt.Errorf("%s: the rows give a circuit file that does not parse: %w", o.File, problems.Errors())
	}
	return Skeleton{Text: text, Problems: sorted(l.problems), Wires: len(l.wires), Remarks: problems}, nil
}

// needsModule tells where no name was taken for a module: without one the circuit has nothing that reads a sensor.
func (l *list) needsModule(found map[string]*place) {
	for _, p := range found {
		if p.kind == aModule {
			return
		}
	}
	l.guessed(0, "no name in the list was taken for a control module", "name the modules with --module NAME")
}
