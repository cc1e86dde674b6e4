package web

import (
	"errors"
	"io/fs"
	"maps"
	"net/http"
	"os"
	"slices"
	"strings"
	"syscall"
	"time"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/files"
	"ohmtrail/cmd/internal/view"
)

func sortedKeys(m map[string]float64) []string { return slices.Sorted(maps.Keys(m)) }

// readingIn is a reading as a page sends it.
type readingIn struct {
	ID       string            `json:"id"`
	At       string            `json:"at"`
	To       string            `json:"to"`
	Quantity circuits.Quantity `json:"quantity"`
	Typed    string            `json:"typed"`
	State    stateJSON         `json:"state"`
	Wiggle   string            `json:"wiggle"`
	Symptom  circuits.Symptom  `json:"symptom"`
	Note     string            `json:"note"`
	Confirm  bool              `json:"confirm"` // it was doubted, and is so
}

const (
	mostTyped = 100
	mostNote  = 2000
)

// reading makes a reading of what a page sent; the circuit's names are checked where it is put into the job.
func (in readingIn) reading(m circuits.Meter) (circuits.Reading, error) {
	out := circuits.Reading{Quantity: in.Quantity, To: circuits.BNegative, Wiggle: in.Wiggle, Symptom: in.Symptom, Note: strings.TrimSpace(in.Note)}
	no := func(err error) (circuits.Reading, error) {
		return out, refuse(http.StatusUnprocessableEntity, "%s", err.Error())
	}
	switch {
	case len(in.Typed) > mostTyped || len(in.Note) > mostNote || len(in.At)+len(in.To)+len(in.Wiggle) > mostNote:
		return no(errors.New("this is too long for a reading"))
	case !slices.Contains(circuits.Quantities(), string(in.Quantity)):
		return no(errors.New("say whether it is volts, ohms, amps or what the scan tool shows"))
	}
	var err error
	if out.At, err = circuits.ParseLocation(in.At); err != nil {
		return no(err)
	}
	if in.To != "" {
		if out.To, err = circuits.ParsePoint(in.To); err != nil {
			return no(err)
		}
	}
	if out.State, err = in.State.state(); err != nil {
		return out, err
	}
	if out, err = view.Typed(out, m, in.Typed); err != nil {
		return no(errors.New(strings.TrimSuffix(err.Error(), ", or help")))
	}
	return out, nil
}

// addReading writes a reading into the job, once for each id.
func (p *Page) addReading(r *http.Request) (any, error) {
	var in readingIn
	if err := take(r, &in); err != nil {
		return nil, err
	}
	return p.add(r, in.ID, in.Confirm, func(j *circuits.Job) (string, error) {
		reading, err := in.reading(j.Meter)
		return files.ReadingBlock(reading), err
	})
}

// addInspection writes what was seen into the job, once for each id.
func (p *Page) addInspection(r *http.Request) (any, error) {
	var in struct{ ID, At, Seen string }
	if err := take(r, &in); err != nil {
		return nil, err
	}
	return p.add(r, in.ID, true, func(*circuits.Job) (string, error) {
		at, err := circuits.ParseLocation(in.At)
		if err != nil {
			return "", refuse(http.StatusUnprocessableEntity, "%s", err.Error())
		}
		return files.InspectionBlock(circuits.Inspection{At: at, Seen: in.Seen}), nil
	})
}

// tries are how often an addition is tried where the file is changed by somebody else at the same moment.
const tries = 5

// add appends a block to a job's file.
func (p *Page) add(r *http.Request, id string, confirmed bool, block func(*circuits.Job) (string, error)) (any, error) {
	if len(id) < 8 || len(id) > 64 || strings.Trim(id, "0123456789abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ-") != "" {
		return nil, refuse(http.StatusBadRequest, "what is added has an id of 8 to 64 letters and digits")
	}
	w, s, end, err := p.begin(r)
	if err != nil {
		return nil, err
	}
	defer end()
	if p.journal.known(id, s.text) {
		return p.jobOf(w, s), nil
	}
	text, err := block(s.job)
	if err != nil {
		return nil, err
	}
	if err := p.journal.begin(id, w.name, text, s.text, p.options.Now()); err != nil {
		return nil, unwritten(err)
	}
	check := &checked{page: p, name: w.name, before: s, confirmed: confirmed}
	for n := 0; ; n++ {
		_, err = files.Append(p.folder.real(w.name), text, check.usable)
		if !errors.Is(err, files.ErrChanged) || n == tries {
			break
		}
	}
	p.journal.finish(id, err == nil)
	return p.written(w, check, err)
}

// begin prepares a change: it finds the job, waits for its turn at the file, and reads it. end gives the turn back.
func (p *Page) begin(r *http.Request) (w *work, s *edition, end func(), err error) {
	w, _, err = p.on(r)
	if err != nil {
		return nil, nil, nil, err
	}
	w.writing.Lock()
	if s, err = p.settled(w); err == nil {
		switch {
		case s.job == nil:
			err = refusal{Status: http.StatusConflict, Broken: true, Words: "not written: the file cannot be read as it stands. " + s.problems.Errors()[0].Error()}
		case s.job.Circuit.Pyrotechnic:
			err = refuse(http.StatusUnprocessableEntity, "%s", strings.Join(view.Cautions(s.job), " "))
		}
	}
	if err != nil {
		w.writing.Unlock()
		return nil, nil, nil, err
	}
	return w, s, w.writing.Unlock, nil
}

// settleTime is how long a file must have been left alone by other hands before it is added to: an editor that writes a
// file bit by bit must not find it changed under its pen.
const settleTime = 150 * time.Millisecond

// settled reads a job's file, and waits a moment where somebody else is just writing it.
func (p *Page) settled(w *work) (*edition, error) {
	for n := 0; ; n++ {
		s, err := p.read(w)
		if err != nil {
			return nil, err
		}
		info, err := p.folder.root.Stat(w.name)
		if err != nil || n == tries || s.textVersion() == w.ours {
			return s, nil
		}
		age := time.Since(info.ModTime())
		if age < 0 || age >= settleTime {
			return s, nil
		}
		time.Sleep(settleTime - age)
	}
}

// written ends a change: what went wrong in words, or the job as it stands now.
func (p *Page) written(w *work, check *checked, err error) (any, error) {
	if err != nil {
		p.read(w)
		return nil, unwritten(err)
	}
	w.ours = versionOf(check.after.text)
	w.mu.Lock()
	w.ahead = check.after
	w.mu.Unlock()
	s, err := p.read(w)
	if err != nil {
		return nil, err
	}
	return p.jobOf(w, s), nil
}

// unwritten says why nothing was written.
func unwritten(err error) error {
	var no refusal
	const kept = "; the file is as it was"
	switch {
	case errors.As(err, &no):
		return no
	case errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EDQUOT), errors.Is(err, syscall.EFBIG):
		return refuse(http.StatusInsufficientStorage, "not written: the disk is full%s", kept)
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS), errors.Is(err, os.ErrPermission):
		return refuse(http.StatusInsufficientStorage, "not written: this program may not write there%s", kept)
	case errors.Is(err, files.ErrChanged):
		return refuse(http.StatusServiceUnavailable, "not written: the file is being changed by another program%s", kept)
	}
	words := err.Error()
	if at := strings.LastIndex(words, jobEnd+": "); at >= 0 {
		words = words[at+len(jobEnd)+2:] // without the machine's path
	}
	return refuse(http.StatusInsufficientStorage, "not written: %s%s", words, kept)
}

// checked holds a changed text against what it should say.
type checked struct {
	page      *Page
	name      string
	before    *edition
	after     *edition // of the text that was asked about last
	confirmed bool
	same      func(before, after *circuits.Job) bool // nil: nothing further is held against it
}

func (c *checked) usable(body []byte) error {
	after := c.after
	if after == nil || !slices.Equal(after.text, body) {
		after = newEdition(c.page.folder, c.name, body)
		c.after = after
	}
	if after.job == nil {
		return refuse(http.StatusUnprocessableEntity, "not written: %s", inShort(after.problems.Errors()[0]))
	}
	if c.same != nil && !c.same(c.before.job, after.job) {
		return refuse(http.StatusUnprocessableEntity, "not written: the file is laid out in a way that this page cannot change safely; edit it by hand")
	}
	before := view.Unsafe(c.before.job)
	for _, one := range view.Unsafe(after.job) {
		if !slices.ContainsFunc(before, func(b circuits.Problem) bool { return b.What == one.What }) {
			return refuse(http.StatusUnprocessableEntity, "not written: %s", inShort(one))
		}
	}
	if c.confirmed {
		return nil
	}
	var doubts []string
	for _, one := range after.problems.Warnings() {
		told := slices.ContainsFunc(c.before.problems, func(b circuits.Problem) bool { return b.Where == one.Where && b.What == one.What })
		if words := inShort(one); !told && !slices.Contains(doubts, words) {
			doubts = append(doubts, words)
		}
	}
	if len(doubts) > 0 {
		return refusal{Status: http.StatusUnprocessableEntity, Words: strings.Join(doubts, ". ") + ".", Doubt: true}
	}
	return nil
}

// inShort is a problem without the line that nobody on a page has typed.
func inShort(p circuits.Problem) string {
	if p.Hint == "" {
		return p.What
	}
	return p.What + "; " + p.Hint
}
