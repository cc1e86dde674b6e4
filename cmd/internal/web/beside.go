package web

import (
	"encoding/json"
	"io"
	"mime"
	"net/http"
	"path"
	"slices"
	"strconv"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/files"
	"ohmtrail/cmd/internal/page"
	"ohmtrail/cmd/internal/view"
)

// What other packages do with a job, where the command has handed it in.

// recordedJSON is what a recording comes to, to be looked at before it is written as a reading.
type recordedJSON struct {
	Typed string   `json:"typed"` // the value or the two values, as one would type them
	Read  string   `json:"read"`
	Says  []string `json:"says"`
}

// MostRecording is the largest recording in bytes that a page may send: a day at ten values a second.
const MostRecording = 32 << 20

// BodyBytes is the largest body of a request, for the door.
func BodyBytes(r *http.Request) int64 {
	if r.URL.Path == "/api/recording" {
		return MostRecording
	}
	return 0
}

// readRecording reads a recording (the body, named by ?name=) as the reading that ?reading= describes in JSON. Nothing is
// written: the page shows what it comes to and sends the reading.
func (p *Page) readRecording(r *http.Request) (any, error) {
	w, s, err := p.usable(r)
	if err != nil {
		return nil, err
	}
	var in readingIn
	if err := json.Unmarshal([]byte(r.URL.Query().Get("reading")), &in); err != nil {
		return nil, refuse(http.StatusBadRequest, "this cannot be understood: %v", err)
	}
	in.Typed = "0"
	reading, err := in.reading(s.job.Meter)
	if err != nil {
		return nil, err
	}
	// Put to the job as a planned one, its points are checked and get their full sides.
	reading.Taken = false
	with := newEdition(p.folder, w.name, slices.Concat(s.text, []byte("\n"+files.ReadingBlock(reading))))
	if with.job == nil {
		return nil, refuse(http.StatusUnprocessableEntity, "%s", inShort(with.problems.Errors()[0]))
	}
	reading = with.job.Readings[len(with.job.Readings)-1]
	body, err := io.ReadAll(r.Body)
	if err != nil {
		return nil, err
	}
	end, err := p.turn(r)
	if err != nil {
		return nil, err
	}
	defer end()
	got, err := p.options.Recorded(s.job, reading, path.Base(r.URL.Query().Get("name")), body)
	if err != nil {
		return nil, refuse(http.StatusUnprocessableEntity, "%s", err.Error())
	}
	says := got.Says
	if says == nil {
		says = []string{}
	}
	return recordedJSON{Typed: typedText(got.Reading), Read: page.Spaced(view.Read(got.Reading)), Says: says}, nil
}

// typedText is a reading's value, or its two, as one would type them, with the digits that a recording is good for.
func typedText(r circuits.Reading) string {
	one := func(v float64) string {
		rounded, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 6, 64), 64)
		return strconv.FormatFloat(rounded, 'f', -1, 64) + " " + r.Quantity.Unit()
	}
	high := one(r.High)
	if r.OL {
		high = "OL"
	}
	if r.Pair {
		return one(r.Value) + " " + high
	}
	return high
}

// report answers with the write-up in a form (?form=), to be kept as a file.
func (p *Page) report(w http.ResponseWriter, r *http.Request) {
	at := slices.IndexFunc(p.options.WriteUps, func(u WriteUp) bool { return u.Form == r.URL.Query().Get("form") })
	if at < 0 {
		p.fail(w, refuse(http.StatusBadRequest, "there is no write-up of that form"))
		return
	}
	s, end, err := p.ready(r)
	if err != nil {
		p.fail(w, err)
		return
	}
	defer end()
	form := p.options.WriteUps[at]
	body, err := form.Render(s.job, s.ranking())
	if err != nil {
		p.fail(w, refuse(http.StatusUnprocessableEntity, "%s", err.Error()))
		return
	}
	name := strings.TrimSuffix(path.Base(r.URL.Query().Get("file")), jobEnd) + form.End
	w.Header().Set("Content-Type", form.Type)
	w.Header().Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": name}))
	w.Write(body)
}
