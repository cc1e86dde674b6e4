package main

import (
	"fmt"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/cmd/internal/files"
)

// job reads a job file for a command that needs one. Its errors are printed; warnings of the job are printed too, and
// those of its circuit counted, for `check` has them all.
func (d *desk) job(name, command string) (*circuits.Job, error) {
	text, err := files.Read(name, d.in)
	if err != nil {
		return nil, err
	}
	if text.KindOf() == files.Circuit {
		if _, problems := text.Circuit(); len(problems.Errors()) > 0 && !looksNamed(text.Name) {
			fmt.Fprintln(d.err, problems.Errors().Error())
			return nil, errSaid
		}
		return nil, fmt.Errorf("%s: this is a circuit; %s wants a job, a file with circuit = %q and readings", text.Name, command, text.Name)
	}
	j, problems := text.Job()
	if err := d.usable(j != nil, text.Name, problems); err != nil {
		return nil, err
	}
	return j, weighable(j, text.Name)
}

// usable prints a file's errors, or, where it can be used, its warnings.
func (d *desk) usable(ok bool, name string, problems circuits.Problems) error {
	if !ok {
		fmt.Fprintln(d.err, problems.Errors().Error())
		return errSaid
	}
	d.warn(name, problems.Warnings())
	return nil
}

// looksNamed tells whether a name says that its file is a circuit.
func looksNamed(name string) bool {
	return strings.HasSuffix(name, ".circuit.toml") || library.Holds(name)
}

// warn prints the warnings of one file, and for each other file how many there are.
func (d *desk) warn(file string, warnings circuits.Problems) {
	others := map[string]int{}
	var names []string
	for _, w := range warnings {
		if w.File == file {
			fmt.Fprintln(d.err, w.Error())
			continue
		}
		if others[w.File] == 0 {
			names = append(names, w.File)
		}
		others[w.File]++
	}
	for _, name := range names {
		noun := "warnings"
		if others[name] == 1 {
			noun = "warning"
		}
		fmt.Fprintf(d.err, "%s: %d %s; `ohmtrail check %s` lists them\n", name, others[name], noun, name)
	}
}
