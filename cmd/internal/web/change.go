package web

import (
	"net/http"
	"reflect"
	"slices"
	"strings"

	"github.com/rogpeppe/go-internal/diff"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/files"
	"ohmtrail/cmd/internal/view"
)

// matched prepares a change of something that stands in the file already: the page must have seen the text that is there.
func (p *Page) matched(r *http.Request) (w *work, s *edition, end func(), err error) {
	saw, _, _ := strings.Cut(strings.Trim(r.Header.Get("If-Match"), `"`), "-")
	if saw == "" {
		return nil, nil, nil, refuse(http.StatusPreconditionRequired, "say with If-Match which text of the file you saw")
	}
	if w, s, end, err = p.begin(r); err != nil {
		return w, s, end, err
	}
	if saw == s.textVersion() {
		return w, s, end, nil
	}
	defer end()
	no := refusal{Status: http.StatusConflict, Words: "not written: the file has been changed since you saw it; look at what changed, then do it again"}
	w.mu.Lock()
	old, there := w.seen[saw]
	w.mu.Unlock()
	if there {
		no.Changed = changedLines(old, s.text)
	}
	return nil, nil, nil, no
}

// changedLines are the lines that a text has lost and gained.
func changedLines(old, now []byte) []string {
	var out []string
	for _, line := range strings.Split(string(diff.Diff("before", old, "now", now)), "\n") {
		if (strings.HasPrefix(line, "+") || strings.HasPrefix(line, "-")) && !strings.HasPrefix(line, "+++") && !strings.HasPrefix(line, "---") {
			out = append(out, strings.ToValidUTF8(line, "�"))
		}
		if len(out) == mostListed {
			return append(out, "…")
		}
	}
	return out
}

// remove takes a reading or an inspection out of the file.
func (p *Page) remove(r *http.Request) (any, error) {
	var in struct {
		Name  string
		Index int
	}
	if err := take(r, &in); err != nil {
		return nil, err
	}
	if in.Name != "reading" && in.Name != "inspection" || in.Index < 0 {
		return nil, refuse(http.StatusBadRequest, "name a reading or an inspection")
	}
	w, s, end, err := p.matched(r)
	if err != nil {
		return nil, err
	}
	defer end()
	check := &checked{page: p, name: w.name, before: s, confirmed: true, same: func(before, after *circuits.Job) bool {
		want := *before
		if in.Name == "reading" && in.Index < len(want.Readings) {
			want.Readings = slices.Delete(slices.Clone(want.Readings), in.Index, in.Index+1)
		} else if in.Name == "inspection" && in.Index < len(want.Inspections) {
			want.Inspections = slices.Delete(slices.Clone(want.Inspections), in.Index, in.Index+1)
		}
		return saysTheSame(&want, after)
	}}
	block, err := files.Remove(p.folder.real(w.name), in.Name, in.Index, check.usable)
	out, err := p.written(w, check, err)
	if err != nil {
		return nil, err
	}
	w.removed = append(w.removed, strings.ReplaceAll(block, "\r\n", "\n"))
	w.gone++
	if len(w.removed) > keptTexts {
		w.removed = w.removed[1:]
	}
	return map[string]any{"job": out, "undo": w.gone}, nil
}

// restore puts what was taken out back, as it was written, at the end of the file.
func (p *Page) restore(r *http.Request) (any, error) {
	var in struct {
		ID   string
		Undo int
	}
	if err := take(r, &in); err != nil {
		return nil, err
	}
	w, _, err := p.on(r)
	if err != nil {
		return nil, err
	}
	w.writing.Lock()
	at := len(w.removed) - 1 - (w.gone - in.Undo)
	block := ""
	if at >= 0 && at < len(w.removed) {
		block = w.removed[at]
	}
	w.writing.Unlock()
	if block == "" {
		return nil, refuse(http.StatusGone, "what was taken out is not remembered any more")
	}
	return p.add(r, in.ID, true, func(*circuits.Job) (string, error) { return block, nil })
}

// change writes another value or note into a reading.
func (p *Page) change(r *http.Request) (any, error) {
	var in struct {
		Index   int
		Typed   string // "" leaves the value
		Note    string
		Confirm bool
	}
	if err := take(r, &in); err != nil {
		return nil, err
	}
	w, s, end, err := p.matched(r)
	if err != nil {
		return nil, err
	}
	defer end()
	if in.Index < 0 || in.Index >= len(s.job.Readings) || len(in.Typed) > mostTyped || len(in.Note) > mostNote {
		return nil, refuse(http.StatusBadRequest, "there is no such reading")
	}
	reading := s.job.Readings[in.Index]
	if in.Typed != "" {
		if reading, err = view.Typed(reading, s.job.Meter, in.Typed); err != nil {
			return nil, refuse(http.StatusUnprocessableEntity, "%s", strings.TrimSuffix(err.Error(), ", or help"))
		}
	}
	reading.Note = strings.TrimSpace(in.Note)
	check := &checked{page: p, name: w.name, before: s, confirmed: in.Confirm, same: func(before, after *circuits.Job) bool {
		want := *before
		want.Readings = slices.Clone(want.Readings)
		want.Readings[in.Index] = reading
		return saysTheSame(&want, after)
	}}
	err = files.SetReading(p.folder.real(w.name), in.Index, reading, check.usable)
	return p.written(w, check, err)
}

// saysTheSame tells whether two jobs say the same, wherever their lines stand.
func saysTheSame(a, b *circuits.Job) bool {
	strip := func(j *circuits.Job) circuits.Job {
		out := *j
		out.Circuit = nil
		out.Readings, out.Inspections, out.Verification = slices.Clone(j.Readings), slices.Clone(j.Inspections), slices.Clone(j.Verification)
		for _, list := range [][]circuits.Reading{out.Readings, out.Verification} {
			for i := range list {
				list[i].Line = 0
			}
		}
		for i := range out.Inspections {
			out.Inspections[i].Line = 0
		}
		out.Repair.Line = min(out.Repair.Line, 1) // that there is one counts
		if len(out.Readings) == 0 {
			out.Readings = nil
		}
		if len(out.Inspections) == 0 {
			out.Inspections = nil
		}
		return out
	}
	return reflect.DeepEqual(strip(a), strip(b))
}
