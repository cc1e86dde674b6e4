package files

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
)

// Usable tells whether a file's text may stand in the file; nil where it may.
type Usable func(body []byte) error

// Addition is what Append put at the end of a file, to be taken back.
type Addition struct {
	path string
	text []byte
}

// Append puts a block of lines at the end of a file, behind a blank line, and writes the file whole or not at all. All
// that stands in it, comments and layout, stays as it is byte for byte; the block takes the file's own line ends. The
// text is asked about before it is written and again as it is read back: where it is not usable the file holds its old
// bytes, and the error is that of usable.
func Append(path, block string, usable Usable) (Addition, error) {
	old, err := readPath(path)
	if err != nil {
		return Addition{}, fmt.Errorf("%s: %w", path, err)
	}
	added := addition(old, block)
	if err := change(path, old, append(bytes.Clone(old), added...), usable); err != nil {
		return Addition{}, err
	}
	return Addition{path: path, text: added}, nil
}

// addition is a block as it goes behind a text: on a line of its own, behind a blank line.
func addition(old []byte, block string) []byte {
	end := "\n"
	if bytes.Contains(old, []byte("\r\n")) {
		end = "\r\n"
	}
	before := ""
	switch {
	case len(old) == 0 || bytes.HasSuffix(old, []byte(end+end)):
	case bytes.HasSuffix(old, []byte("\n")):
		before = end
	default:
		before = end + end
	}
	return []byte(before + strings.ReplaceAll(block, "\n", end))
}

// errMoved says that an addition cannot be found any more.
var errMoved = errors.New("what was added is not there any more as it was written; edit the file by hand")

// TakeBack removes exactly what was added, even where the file has been edited elsewhere since.
func (a Addition) TakeBack(usable Usable) error {
	now, err := readPath(a.path)
	if err != nil {
		return fmt.Errorf("%s: %w", a.path, err)
	}
	at := bytes.LastIndex(now, a.text)
	if at < 0 {
		return fmt.Errorf("%s: %w", a.path, errMoved)
	}
	return change(a.path, now, append(bytes.Clone(now[:at]), now[at+len(a.text):]...), usable)
}

// change writes a new text where it is usable and the file still holds the old one, and the old one again where the new
// one is not usable as it is read back.
func change(path string, old, text []byte, usable Usable) error {
	if err := usable(text); err != nil {
		return err
	}
	still := func() error {
		if now, err := readPath(path); err != nil || !bytes.Equal(now, old) {
			return errors.Join(ErrChanged, err)
		}
		return nil
	}
	if err := replaceIf(path, text, still); err != nil {
		return err
	}
	back, err := readPath(path)
	if err == nil {
		err = usable(back)
	}
	if err == nil {
		return nil
	}
	if again := Replace(path, old); again != nil {
		return errors.Join(err, again)
	}
	return err
}
