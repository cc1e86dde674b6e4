package web

import (
	"errors"
	"net/http"
	"path"
	"slices"
	"strings"
	"unicode"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/circuits/read"
	"ohmtrail/cmd/internal/draft/circuittext"
	"ohmtrail/cmd/internal/files"
)

// folderJSON is what the folder holds.
type folderJSON struct {
	Jobs     []listedJob     `json:"jobs"` // changed last first
	Circuits []listedCircuit `json:"circuits"`
	Library  []listedCircuit `json:"library"`
	Invites  bool            `json:"invites"` // this page may show others the way in
}

type listedJob struct {
	File      string   `json:"file"`
	Machine   string   `json:"machine"`
	Complaint string   `json:"complaint"`
	Codes     []string `json:"codes"`
	Readings  int      `json:"readings"`
	Changed   string   `json:"changed"` // date and time
	Problem   string   `json:"problem"` // why it cannot be used; "" where it can
}

type listedCircuit struct {
	Name    string `json:"name"` // as a job names it: a file of the folder, or library:NAME
	Title   string `json:"title"`
	Problem string `json:"problem"`
}

// showFolder lists jobs and circuits.
func (p *Page) showFolder(*http.Request) (any, error) {
	out := folderJSON{Jobs: []listedJob{}, Circuits: []listedCircuit{}, Library: []listedCircuit{}, Invites: p.options.Invitations != nil}
	jobs := p.folder.list(jobEnd)
	slices.SortStableFunc(jobs, func(a, b found) int { return b.modified.Compare(a.modified) })
	for _, f := range jobs {
		out.Jobs = append(out.Jobs, p.listed(f))
	}
	for _, f := range p.folder.list(circuitEnd) {
		out.Circuits = append(out.Circuits, p.listedFile(f.name))
	}
	out.Library = p.library()
	return out, nil
}

// libraryList are the circuits of the library that may be tested here.
func libraryList() []listedCircuit {
	var out []listedCircuit
	for _, name := range library.Names() {
		c, err := library.Circuit(name)
		if err != nil {
			panic("a circuit of the library is at fault: " + err.Error())
		}
		if !c.Pyrotechnic {
			out = append(out, listedCircuit{Name: "library:" + name, Title: c.Title})
		}
	}
	return out
}

// listed reads what the list says of a job, and keeps it as long as the file has its size and time. Of a file at fault,
// and of one so young that a further change might not show in its time, nothing is kept.
func (p *Page) listed(f found) listedJob {
	p.mu.Lock()
	kept, there := p.lists[f.name]
	p.mu.Unlock()
	if there && kept.found == f {
		return kept.listedJob
	}
	out := p.listedAnew(f)
	if out.Problem == "" && p.options.Now().Sub(f.modified) > youngStamp {
		p.mu.Lock()
		if len(p.lists) >= mostFiles {
			clear(p.lists)
		}
		p.lists[f.name] = keptJob{f, out}
		p.mu.Unlock()
	}
	return out
}

// keptJob is what the list says of a file as it was found.
type keptJob struct {
	found
	listedJob
}

func (p *Page) listedAnew(f found) listedJob {
	out := listedJob{File: f.name, Codes: []string{}, Changed: f.modified.Format("2 Jan 2006, 15:04")}
	text, err := p.folder.read(f.name)
	if err != nil {
		out.Problem = err.Error()
		return out
	}
	j, problems := read.Job(path.Base(f.name), text, p.folder.open(f.name))
	if j == nil {
		out.Problem = problems.Errors()[0].Error()
		return out
	}
	out.Machine, out.Complaint = j.Machine, j.Complaint
	out.Codes = append(out.Codes, j.Codes...)
	for _, r := range j.Readings {
		if r.Taken {
			out.Readings++
		}
	}
	return out
}

func (p *Page) listedFile(name string) listedCircuit {
	out := listedCircuit{Name: name, Title: name}
	text, err := p.folder.read(name)
	if err != nil {
		out.Problem = err.Error()
		return out
	}
	c, problems := read.Circuit(path.Base(name), text)
	if c == nil {
		out.Problem = problems.Errors()[0].Error()
		return out
	}
	if c.Title != "" {
		out.Title = c.Title
	}
	return out
}

// circuit finds a circuit by the name that the page was given for it.
func (p *Page) circuit(name string) (*circuits.Circuit, error) {
	if library.Holds(name) {
		c, err := library.Circuit(name)
		if err != nil {
			return nil, refuse(http.StatusUnprocessableEntity, "%s", err.Error())
		}
		return c, nil
	}
	if err := allowed(name, circuitEnd); err != nil {
		return nil, refuse(http.StatusUnprocessableEntity, "%s", err.Error())
	}
	text, err := p.folder.read(name)
	if err != nil {
		return nil, refuse(http.StatusUnprocessableEntity, "%s: %s", name, err.Error())
	}
	c, problems := read.Circuit(path.Base(name), text)
	if c == nil {
		return nil, refuse(http.StatusUnprocessableEntity, "%s", problems.Errors().Error())
	}
	return c, nil
}

// showCodes answers with the codes that a circuit can set, to be ticked.
func (p *Page) showCodes(r *http.Request) (any, error) {
	c, err := p.circuit(r.URL.Query().Get("circuit"))
	if err != nil {
		return nil, err
	}
	codes := c.Codes()
	if codes == nil {
		codes = []string{}
	}
	return map[string]any{"codes": codes}, nil
}

// startJob writes a new job file, never over one that is there.
func (p *Page) startJob(r *http.Request) (any, error) {
	var in struct {
		Circuit, Machine, Complaint string
		Codes                       []string
		Intermittent                bool
	}
	if err := take(r, &in); err != nil {
		return nil, err
	}
	if len(in.Machine) > mostNote || len(in.Complaint) > mostNote || len(in.Codes) > mostListed {
		return nil, refuse(http.StatusUnprocessableEntity, "this is too long")
	}
	c, err := p.circuit(in.Circuit)
	if err != nil {
		return nil, err
	}
	if c.Pyrotechnic {
		return nil, refuse(http.StatusUnprocessableEntity, "this is a pyrotechnic circuit, which is not tested here; follow the maker's procedure with the maker's equipment")
	}
	folder, named := "", in.Circuit
	if !library.Holds(named) {
		folder, named = path.Split(named)
	}
	var b strings.Builder
	b.WriteString("# Started on the page, " + p.options.Now().Format("2 January 2006, 15:04") + ".\n")
	b.WriteString("format = 1\ncircuit = " + circuittext.Quote(named) + "\n")
	for _, line := range [][2]string{{"machine", in.Machine}, {"complaint", in.Complaint}} {
		if text := strings.TrimSpace(line[1]); text != "" {
			b.WriteString(line[0] + " = " + circuittext.Quote(text) + "\n")
		}
	}
	if len(in.Codes) > 0 {
		var codes []string
		for _, code := range in.Codes {
			codes = append(codes, circuittext.Quote(code))
		}
		b.WriteString("codes = [" + strings.Join(codes, ", ") + "]\n")
	}
	if in.Intermittent {
		b.WriteString("intermittent = true\n")
	}
	base := slug(in.Machine + " " + in.Complaint)
	if base == "" {
		base = slug(strings.TrimSuffix(strings.TrimPrefix(named, "library:"), circuitEnd))
	}
	for n := 1; ; n++ {
		name := folder + base + jobEnd
		if n > 1 {
			name = folder + base + "-" + itoa(n) + jobEnd
		}
		if s := newEdition(p.folder, name, []byte(b.String())); s.job == nil {
			return nil, refuse(http.StatusUnprocessableEntity, "%s", inShort(s.problems.Errors()[0]))
		}
		if files.Free(p.folder.real(name)) != nil && n < mostFiles {
			continue
		}
		if err := files.Create(p.folder.real(name), []byte(b.String())); err != nil {
			if files.Free(p.folder.real(name)) != nil && n < mostFiles && errors.Unwrap(err) == nil {
				continue // somebody took the name between the two
			}
			return nil, unwritten(err)
		}
		return map[string]string{"file": name}, nil
	}
}

// slug makes a file name of words: small letters, digits and hyphens, as long as a file name may well be.
func slug(words string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(words) {
		switch {
		case r < unicode.MaxASCII && (unicode.IsLetter(r) || unicode.IsDigit(r)):
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
		if b.Len() >= 48 {
			break
		}
	}
	return strings.Trim(b.String(), "-")
}
