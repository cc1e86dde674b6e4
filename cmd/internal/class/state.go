package class

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"ohmtrail/cmd/internal/exercise"
	"ohmtrail/cmd/internal/files"
)

// The phases of a round.
const (
	waiting = "waiting" // students join, nothing is played
	running = "running"
	closed  = "closed" // nothing more is taken
)

// When students see their marks.
const (
	afterFinding = "finding" // each as soon as a finding is given
	afterClosing = "closing" // all when the round is closed
)

// state is the class as it is kept on disk; the plays are beside it, a file each.
type state struct {
	Format int         `json:"format"`
	Round  int         `json:"round"`
	Phase  string      `json:"phase"`
	Marks  string      `json:"marks"`
	Pick   []string    `json:"pick"` // names of the exercises that are dealt
	Dealt  int         `json:"dealt"`
	LastID int         `json:"last_id"` // of a seat; a removed seat's is given to nobody, for its plays stay
	Seats  []seatState `json:"seats"`
}

// seatState is one student. Token is the hash of the secret that the student's browser holds.
type seatState struct {
	ID       int    `json:"id"`
	Name     string `json:"name"`
	Token    string `json:"token"`
	Exercise string `json:"exercise"` // of this round; "" for none yet
	Free     bool   `json:"free"`     // the next who joins with this name gets the seat
}

// classFolder is where a class is kept, in the folder of its exercises.
const classFolder = "class"

func (c *Class) stateFile() string { return filepath.Join(c.o.Folder, classFolder, "class.json") }

// playFileOf is where a student's play of a round is kept. The name is made safe for any file system; the number tells
// two apart whose names come to the same.
func (c *Class) playFileOf(round, id int, student, exerciseName string) string {
	safe := strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9':
			return r
		case r >= 'A' && r <= 'Z':
			return r + 'a' - 'A'
		}
		return '-'
	}, student)
	return filepath.Join(c.o.Folder, classFolder, fmt.Sprintf("round-%d", round), fmt.Sprintf("%02d-%.24s.%s%s", id, strings.Trim(safe, "-"), exerciseName, exercise.PlayEnding))
}

// readState takes up a class where it was left.
func (c *Class) readState() error {
	c.st = state{Format: 1, Round: 1, Phase: waiting, Marks: afterClosing}
	for _, it := range c.items {
		c.st.Pick = append(c.st.Pick, it.x.Name)
	}
	if err := os.MkdirAll(filepath.Dir(c.stateFile()), 0o777); err != nil {
		return fmt.Errorf("%s: what is played cannot be kept here: the folder cannot be made", filepath.Dir(c.stateFile()))
	}
	body, err := os.ReadFile(c.stateFile())
	if errors.Is(err, fs.ErrNotExist) {
		return c.writeState()
	}
	var st state
	if err != nil || json.Unmarshal(body, &st) != nil || st.Format != 1 {
		return fmt.Errorf("%s: it is damaged, or of another version; move it away to begin anew (the plays beside it stay)", c.stateFile())
	}
	st.Pick = slices.DeleteFunc(st.Pick, func(name string) bool { return c.item(name) == nil })
	c.st = st
	for _, s := range st.Seats {
		seat := &seat{seatState: s, changed: c.o.Now()}
		if err := c.takeUp(seat); err != nil {
			return err
		}
		c.seats = append(c.seats, seat)
		if seat.play != nil {
			c.queue.add(seat)
		}
	}
	return c.writeState()
}

// takeUp reads a student's play and does its steps again.
func (c *Class) takeUp(s *seat) error {
	if s.Exercise == "" {
		return nil
	}
	it := c.item(s.Exercise)
	if it == nil {
		return fmt.Errorf("%s: exercise %s of %s is missing from the folder; put it back, or move %s away", c.o.Folder, s.Exercise, s.Name, c.stateFile())
	}
	s.item, s.round, s.play = it, c.st.Round, exercise.NewPlay(it.x, s.Name)
	file := c.playFileOf(c.st.Round, s.ID, s.Name, s.Exercise)
	body, err := os.ReadFile(file)
	if errors.Is(err, fs.ErrNotExist) {
		return nil // dealt, and nothing done yet
	}
	if err != nil {
		return fmt.Errorf("%s: it cannot be read", file)
	}
	var j exercise.PlayJSON
	if json.Unmarshal(body, &j) != nil || j.Exercise != string(it.text) {
		return fmt.Errorf("%s: it is damaged, or its exercise was made anew since; move it away", file)
	}
	for _, step := range j.Steps {
		a, err := exercise.Parse(it.x, step.Line)
		if err != nil {
			return fmt.Errorf("%s: %w; move it away", file, err)
		}
		a.Reason = step.Reason
		s.play.Do(a)
	}
	return nil
}

// writeState keeps the class; c.mu is held, or nobody else is there yet.
func (c *Class) writeState() error {
	c.st.Seats = nil
	for _, s := range c.seats {
		c.st.Seats = append(c.st.Seats, s.seatState)
	}
	body, err := json.MarshalIndent(c.st, "", " ")
	if err != nil {
		return err
	}
	return files.Replace(c.stateFile(), body)
}

// secretsFile holds the codes, so that a class that is started again after a crash finds everybody still in.
func secretsFile(folder string) string { return filepath.Join(folder, classFolder, "codes.json") }

// Secrets are the door's secrets that the class had before; nil for none.
func Secrets(folder string) []byte {
	body, err := os.ReadFile(secretsFile(folder))
	if err != nil {
		return nil
	}
	return body
}

// KeepSecrets keeps the door's secrets for the next start, for nobody but the owner of the folder to read.
func KeepSecrets(folder string, secrets []byte) error {
	if err := os.WriteFile(secretsFile(folder), secrets, 0o600); err != nil {
		return fmt.Errorf("%s: it cannot be written", secretsFile(folder))
	}
	return os.Chmod(secretsFile(folder), 0o600)
}
