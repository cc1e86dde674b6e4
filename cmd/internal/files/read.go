package files

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/BurntSushi/toml"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/circuits/read"
)

// Stdin is the file name that stands for standard input.
const Stdin = "-"

// mostBytes is the largest file that is read: a thousand times a large harness, and a guard against a device or a
// picture named by mistake.
const mostBytes = 16 << 20

// Text is a file as it was read. Name is what messages call it.
type Text struct {
	Name string
	Path string // "" for standard input and the library
	Body []byte
}

// Read reads FILE, "-" (standard input) or library:NAME. The error names the file and is one line.
func Read(name string, stdin io.Reader) (Text, error) {
	switch {
	case name == Stdin:
		body, err := readAll("standard input", stdin)
		return Text{Name: "stdin", Body: body}, err
	case library.Holds(name):
		body, err := library.Text(name)
		return Text{Name: name, Body: body}, err
	}
	body, err := readPath(name)
	if err != nil {
		return Text{}, fmt.Errorf("%s: %w", name, err)
	}
	return Text{Name: name, Path: name, Body: body}, nil
}

// readPath reads a file; its errors do not name it.
func readPath(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, Plain(err)
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return nil, Plain(err)
	}
	if info.IsDir() {
		return nil, errors.New("this is a folder; name a file in it")
	}
	return readAll("the file", f)
}

func readAll(what string, from io.Reader) ([]byte, error) {
	body, err := io.ReadAll(io.LimitReader(from, mostBytes+1))
	if err != nil {
		return nil, Plain(err)
	}
	if len(body) > mostBytes {
		return nil, fmt.Errorf("%s is larger than %d MB, which no circuit or job is", what, mostBytes>>20)
	}
	return body, nil
}

// Plain is a file system's error without the path that the message names already.
func Plain(err error) error {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return errors.New("there is no such file")
	case errors.Is(err, fs.ErrPermission):
		return errors.New("you may not read or write it")
	}
	var at *fs.PathError
	if errors.As(err, &at) {
		return at.Err
	}
	return err
}

// Kind is what a file holds.
type Kind string

// The kinds of file.
const (
	Circuit Kind = "circuit"
	Job     Kind = "job"
)

// KindOf tells a job from a circuit: by the end of its name, else by its keys. A text that is not TOML counts as a
// circuit.
func (t Text) KindOf() Kind {
	switch {
	case strings.HasSuffix(t.Name, ".job.toml"):
		return Job
	case strings.HasSuffix(t.Name, ".circuit.toml"), library.Holds(t.Name):
		return Circuit
	}
	var keys struct{ Circuit, Reading, Complaint any }
	if _, err := toml.Decode(string(t.Body), &keys); err != nil {
		return Circuit
	}
	if keys.Circuit != nil || keys.Reading != nil || keys.Complaint != nil {
		return Job
	}
	return Circuit
}

// Circuit parses the text as a circuit file. The circuit is nil where any problem is an error.
func (t Text) Circuit() (*circuits.Circuit, circuits.Problems) {
	return read.Circuit(t.Name, t.Body)
}

// Job parses the text as a job file; its circuit is looked for beside the file (in the working folder, for standard
// input) or in the library. The job is nil where any problem is an error.
func (t Text) Job() (*circuits.Job, circuits.Problems) {
	return read.Job(t.Name, t.Body, beside(filepath.Dir(t.Path)))
}

// beside opens the circuits that a job in that folder names.
func beside(folder string) read.Opener {
	return func(name string) (string, []byte, error) {
		if library.Holds(name) {
			body, err := library.Text(name)
			return name, body, err
		}
		path := filepath.FromSlash(name)
		if !filepath.IsAbs(path) {
			path = filepath.Join(folder, path)
		}
		body, err := readPath(path)
		if err != nil {
			err = fmt.Errorf("%s: %w", path, err)
		}
		return path, body, err
	}
}
