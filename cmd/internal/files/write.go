package files

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/natefinch/atomic"
)

// Replace writes a file whole or not at all: a reader sees the old content or the new, never a part. A link is
// followed; what is no plain file (a pipe, a device) is written to as it is.
func Replace(path string, content []byte) error {
	return replaceIf(path, content, func() error { return nil })
}

// ErrChanged says that a file was changed by somebody else between its reading and its writing; nothing was written.
var ErrChanged = errors.New("the file was changed at this moment; try again")

// replaceIf is Replace where still, asked when all but the last step is done, finds nothing wrong.
func replaceIf(path string, content []byte, still func() error) error {
	if err := replace(path, content, still); err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	return nil
}

func replace(path string, content []byte, still func() error) error {
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	}
	mode := fs.FileMode(0o666) // less what the user's mask takes away
	switch info, err := os.Stat(path); {
	case err == nil && info.IsDir():
		return errors.New("this is a folder; name a file in it")
	case err == nil && !info.Mode().IsRegular():
		if err := still(); err != nil {
			return err
		}
		return Plain(os.WriteFile(path, content, mode))
	case err == nil:
		mode = info.Mode().Perm()
	}
	beside, err := writeBeside(path, content, mode)
	if err != nil {
		return unwritten(err)
	}
	if err := still(); err != nil {
		os.Remove(beside)
		return err
	}
	if err := atomic.ReplaceFile(beside, path); err != nil {
		os.Remove(beside)
		return Plain(err)
	}
	return nil
}

// writeBeside writes the content to a new file of the same folder. The library's own temporary file would leave a new
// file that nobody but its owner may read.
func writeBeside(path string, content []byte, mode fs.FileMode) (name string, err error) {
	for n := 0; ; n++ {
		name = filepath.Join(filepath.Dir(path), fmt.Sprintf(".%s.%d.%d.part", filepath.Base(path), os.Getpid(), n))
		err = create(name, content, mode)
		if !errors.Is(err, fs.ErrExist) || n == 100 {
			return name, err
		}
	}
}

// Free tells before the work whether Create will find its place taken.
func Free(path string) error {
	if _, err := os.Lstat(path); err == nil {
		return taken(path)
	}
	return nil
}

func taken(path string) error {
	return fmt.Errorf("%s: there is a file of that name already; name another", path)
}

// Create writes a new file whole or not at all, and never over one that is there.
func Create(path string, content []byte) error {
	err := create(path, content, 0o666)
	switch {
	case errors.Is(err, fs.ErrExist):
		return taken(path)
	case err != nil:
		return fmt.Errorf("%s: %w", path, unwritten(err))
	}
	return nil
}

// unwritten is why a file could not be made, without the path that the message names already.
func unwritten(err error) error {
	if errors.Is(err, fs.ErrNotExist) {
		return errors.New("there is no such folder")
	}
	return Plain(err)
}

// create writes a file that must not be there yet, down to the disk; where that fails nothing is left.
func create(path string, content []byte, mode fs.FileMode) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode)
	if err != nil {
		return err
	}
	_, err = f.Write(content)
	err = errors.Join(err, f.Sync(), f.Close())
	if err != nil {
		os.Remove(path)
	}
	return err
}
