package web

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"time"
)

// journal remembers which additions were written, so that one that is sent again is written once, even when the program
// was killed between the writing and the answer.
//
// It is a file beside no job (in the user's cache; the job files stay free of our marks): a line before an addition is
// written, with how often the job's text held its block then, and a line after. Where the second line is missing the job
// itself tells: its text holds the block more often than before. Without a file it remembers as long as the program runs.
type journal struct {
	mu   sync.Mutex
	path string
	file *os.File // nil: memory alone
	ids  map[string]written
}

// written is what is known of one addition.
type written struct {
	ID     string    `json:"id"`
	Job    string    `json:"job,omitempty"`
	Block  string    `json:"block,omitempty"`
	Before int       `json:"before,omitempty"` // times that the job's text held the block before
	When   time.Time `json:"when,omitzero"`
	Done   bool      `json:"done,omitempty"`
	Failed bool      `json:"failed,omitempty"` // it was not written after all
}

// keptFor is how long an addition is remembered; a phone that was away longer asks its user.
const keptFor = 60 * 24 * time.Hour

// openJournal reads what is remembered and writes it anew without what is old. An error leaves a journal that works
// without its file.
func openJournal(path string, now time.Time) (*journal, error) {
	j := &journal{ids: map[string]written{}}
	if path == "" {
		return j, nil
	}
	old, err := os.ReadFile(path)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return j, err
	}
	var order []string
	lines := bufio.NewScanner(bytes.NewReader(old))
	lines.Buffer(nil, 1<<20)
	for lines.Scan() {
		var w written
		if json.Unmarshal(lines.Bytes(), &w) != nil || w.ID == "" {
			continue // a line that was cut short when the program was killed
		}
		before, there := j.ids[w.ID]
		switch {
		case w.Failed:
			delete(j.ids, w.ID)
			order = slices.DeleteFunc(order, func(id string) bool { return id == w.ID })
		case w.Done && there:
			before.Done = true
			j.ids[w.ID] = before
		case !w.When.IsZero() && now.Sub(w.When) < keptFor:
			if !there {
				order = append(order, w.ID)
			}
			j.ids[w.ID] = w
		}
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return j, err
	}
	var fresh bytes.Buffer
	for _, id := range order {
		line, _ := json.Marshal(j.ids[id])
		fresh.Write(append(line, '\n'))
	}
	beside := path + ".new"
	if err := os.WriteFile(beside, fresh.Bytes(), 0o600); err != nil {
		return j, err
	}
	if err := os.Rename(beside, path); err != nil {
		return j, err
	}
	j.path = path
	j.file, err = openToAdd(path)
	return j, err
}

func openToAdd(path string) (*os.File, error) {
	return os.OpenFile(path, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o600)
}

// follow takes up the file that stands under the journal's name now: a second program that serves the same folder puts a
// new one there when it starts, and what is noted in the old one would be lost.
func (j *journal) follow() error {
	mine, err := j.file.Stat()
	if err != nil {
		return err
	}
	if there, err := os.Stat(j.path); err == nil && os.SameFile(mine, there) {
		return nil
	}
	file, err := openToAdd(j.path)
	if err != nil {
		return err
	}
	j.file.Close()
	j.file = file
	return nil
}

// known tells whether an addition stands in the job already; text is the job's text now.
func (j *journal) known(id string, text []byte) bool {
	j.mu.Lock()
	defer j.mu.Unlock()
	w, there := j.ids[id]
	if !there {
		return false
	}
	return w.Done || times(text, w.Block) > w.Before
}

// begin notes an addition that is about to be written. Where the note cannot be kept, nothing may be written.
func (j *journal) begin(id, job, block string, text []byte, now time.Time) error {
	j.mu.Lock()
	defer j.mu.Unlock()
	w := written{ID: id, Job: job, Block: block, Before: times(text, block), When: now}
	if err := j.note(w, true); err != nil {
		return err
	}
	j.ids[id] = w
	return nil
}

// finish notes that an addition was written, or, with done false, that it was not.
func (j *journal) finish(id string, done bool) {
	j.mu.Lock()
	defer j.mu.Unlock()
	w := j.ids[id]
	if !done {
		delete(j.ids, id)
		j.note(written{ID: id, Failed: true}, false)
		return
	}
	w.Done = true
	j.ids[id] = w
	j.note(written{ID: id, Done: true}, false) // where this is lost, the job's text tells
}

func (j *journal) note(w written, sync bool) error {
	if j.file == nil {
		return nil
	}
	line, err := json.Marshal(w)
	if err != nil {
		return err
	}
	if err := j.follow(); err != nil {
		return err
	}
	// A line end in front too: behind a line that a full disk cut short.
	if _, err := j.file.Write(slices.Concat([]byte("\n"), line, []byte("\n"))); err != nil {
		return err
	}
	if sync {
		return j.file.Sync()
	}
	return nil
}

// times is how often a text holds a block, whatever its line ends.
func times(text []byte, block string) int {
	return bytes.Count(bytes.ReplaceAll(text, []byte("\r\n"), []byte("\n")), []byte(block))
}

func (j *journal) close() {
	j.mu.Lock()
	defer j.mu.Unlock()
	if j.file != nil {
		j.file.Close()
		j.file = nil
	}
}
