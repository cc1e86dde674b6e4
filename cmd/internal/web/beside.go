package web

import (
	"encoding/json"
	"io"
	"net/http"
	"path"
	"strings"

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
	s, err := p.usable(r)
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
	read := spaced(view.Read(got.Reading))
	return recordedJSON{Typed: strings.ReplaceAll(read, " to ", " .. "), Read: read, Says: says}, nil
}

// report answers with the write-up, to be kept as a file.
func (p *Page) report(w http.ResponseWriter, r *http.Request) {
	job, s, err := p.on(r)
	form := r.URL.Query().Get("form")
	switch {
	case err != nil:
	case s.job == nil:
		err = refusal{Status: http.StatusConflict, Words: "the file cannot be read as it stands: " + s.problems.Errors().Error(), Broken: true}
	case form != "html" && form != "pdf" && form != "md":
		err = refuse(http.StatusBadRequest, "a write-up is html, pdf or md")
	}
	if err != nil {
		p.fail(w, err)
		return
	}
	end, err := p.turn(r)
	if err != nil {
		p.fail(w, err)
		return
	}
	defer end()
	body, contentType, err := p.options.Report(s.job, s.ranking(), form)
	if err != nil {
		p.fail(w, refuse(http.StatusUnprocessableEntity, "%s", err.Error()))
		return
	}
	name := strings.TrimSuffix(path.Base(job.name), jobEnd) + "." + form
	w.Header().Set("Content-Type", contentType)
	w.Header().Set("Content-Disposition", `attachment; filename="`+strings.ReplaceAll(name, `"`, "")+`"`)
	w.Write(body)
}
