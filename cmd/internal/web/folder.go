package web

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"ohmtrail/circuits/library"
	"ohmtrail/circuits/read"
	"ohmtrail/cmd/internal/files"
)

const (
	jobEnd     = ".job.toml"
	circuitEnd = ".circuit.toml"

	mostFile  = 16 << 20 // bytes; a thousand times a large harness
	mostFiles = 5000     // that are listed
	deepest   = 4        // folders below the folder
)

// folder is the folder that is served. Everything is reached through os.Root, which follows no name and no link out of
// it; names are relative, with slashes.
type folder struct {
	root *os.Root
	path string // absolute, links followed
}

func openFolder(name string) (*folder, error) {
	real, err := filepath.EvalSymlinks(name)
	if err == nil {
		real, err = filepath.Abs(real)
	}
	switch info, statErr := os.Stat(real); {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("%s: there is no such folder", name)
	case err != nil:
		return nil, err
	case statErr != nil:
		return nil, statErr
	case !info.IsDir():
		return nil, fmt.Errorf("%s: this is a file; name the folder that it is in", name)
	}
	root, err := os.OpenRoot(real)
	if err != nil {
		return nil, err
	}
	return &folder{root: root, path: real}, nil
}

// errOutside says that a name is none of a file that may be served.
var errOutside = errors.New("this is no file of the folder that is served")

// allowed checks a name that came from a page: local, tidy, of one of our kinds of file, nothing hidden.
func allowed(name, end string) error {
	if !strings.HasSuffix(name, end) || name == end || path.Clean(name) != name || !filepath.IsLocal(filepath.FromSlash(name)) ||
		strings.ContainsAny(name, "\x00\\:") {
		return errOutside
	}
	for _, part := range strings.Split(name, "/") {
		if strings.HasPrefix(part, ".") {
			return errOutside
		}
	}
	return nil
}

// read gives a file's text.
func (f *folder) read(name string) ([]byte, error) {
	// A pipe would keep whoever opens it waiting for its other end, so it is looked at first.
	if info, err := f.root.Stat(filepath.FromSlash(name)); err == nil && !info.Mode().IsRegular() {
		return nil, errors.New("this is no plain file")
	}
	file, err := f.root.Open(filepath.FromSlash(name))
	if err != nil {
		return nil, plain(err)
	}
	defer file.Close()
	if info, err := file.Stat(); err != nil || !info.Mode().IsRegular() {
		return nil, errors.New("this is no plain file")
	}
	body, err := io.ReadAll(io.LimitReader(file, mostFile+1))
	if err == nil && len(body) > mostFile {
		err = fmt.Errorf("the file is larger than %d MB", mostFile>>20)
	}
	return body, err
}

// plain is a file system's error in our words, without a path of the machine.
func plain(err error) error {
	var at *fs.PathError
	if errors.As(err, &at) && strings.Contains(at.Err.Error(), "escapes") {
		return errOutside
	}
	return files.Plain(err)
}

// real is the path by which package files may write a file that was found in the folder.
func (f *folder) real(name string) string { return filepath.Join(f.path, filepath.FromSlash(name)) }

// open is how a job in this folder reads its circuit: beside itself within the folder, or from the library.
func (f *folder) open(job string) read.Opener {
	return func(name string) (string, []byte, error) {
		if library.Holds(name) {
			body, err := library.Text(name)
			return name, body, err
		}
		beside := path.Join(path.Dir(job), filepath.ToSlash(name))
		if filepath.IsAbs(name) || !filepath.IsLocal(filepath.FromSlash(beside)) {
			return name, nil, fmt.Errorf("%s: it stands outside the folder that is served; serve the folder above, or copy it here", name)
		}
		body, err := f.read(beside)
		if err != nil {
			err = fmt.Errorf("%s: %w", beside, err)
		}
		return beside, body, err
	}
}

// found is a file of the folder.
type found struct {
	name     string
	size     int64
	modified time.Time
}

// list is the files of one kind, by name.
func (f *folder) list(end string) []found {
	var out []found
	fs.WalkDir(f.root.FS(), ".", func(name string, entry fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return nil // a folder that may not be read is passed over
		case name != "." && strings.HasPrefix(entry.Name(), "."):
			if entry.IsDir() {
				return fs.SkipDir
			}
			return nil
		case entry.IsDir() && strings.Count(name, "/") >= deepest:
			return fs.SkipDir
		case len(out) >= mostFiles:
			return fs.SkipAll
		case allowed(name, end) != nil || entry.IsDir():
			return nil
		}
		if info, err := f.root.Stat(name); err == nil && info.Mode().IsRegular() {
			out = append(out, found{name, info.Size(), info.ModTime()})
		}
		return nil
	})
	slices.SortFunc(out, func(a, b found) int { return strings.Compare(a.name, b.name) })
	return out
}

// partAge is how old a part of a file must be that nobody has finished writing before it is swept away.
const partAge = 10 * time.Minute

// sweep removes the beginnings of files that a killed program left: ".NAME.job.toml.PID.N.part", never a file by another
// name, and none that may still be written.
func (f *folder) sweep(now time.Time) {
	fs.WalkDir(f.root.FS(), ".", func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			if err == nil && strings.Count(name, "/") >= deepest {
				return fs.SkipDir
			}
			return nil
		}
		base := entry.Name()
		ours := strings.HasPrefix(base, ".") && strings.HasSuffix(base, ".part") && strings.Contains(base, jobEnd+".")
		if info, err := entry.Info(); ours && err == nil && info.Mode().IsRegular() && now.Sub(info.ModTime()) > partAge {
			f.root.Remove(name)
		}
		return nil
	})
}

// versionOf is the hash by which a page says which text of a file it saw.
func versionOf(text []byte) string {
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:8])
}
