package view

import (
	"fmt"
	"strings"

	"ohmtrail/circuits"
)

// Checked is a file that was checked. Circuit and Job are nil where they could not be understood; a job has both.
type Checked struct {
	File     string
	Kind     string // "circuit" or "job"
	Problems circuits.Problems
	Circuit  *circuits.Circuit
	Job      *circuits.Job
}

// CheckedJSON is what was found in a file and what was understood of it.
type CheckedJSON struct {
	File     string        `json:"file"`
	Kind     string        `json:"kind"`
	OK       bool          `json:"ok"`
	Problems []ProblemJSON `json:"problems"`
	Circuit  *CircuitJSON  `json:"circuit"` // null where the file is at fault
	Job      *JobJSON      `json:"job"`     // null for a circuit, and where the file is at fault
}

// ProblemJSON is one error or warning.
type ProblemJSON struct {
	File    string `json:"file"`
	Line    int    `json:"line"` // 0 where the file as a whole is meant
	Where   string `json:"where,omitempty"`
	What    string `json:"what"`
	Hint    string `json:"hint,omitempty"`
	Warning bool   `json:"warning"`
}

// CircuitJSON counts what a circuit is made of.
type CircuitJSON struct {
	File        string   `json:"file"`
	Title       string   `json:"title"`
	Pyrotechnic bool     `json:"pyrotechnic"`
	Modules     []string `json:"modules"`
	Pins        int      `json:"pins"`
	Devices     []string `json:"devices"`
	Connectors  []string `json:"connectors"`
	Splices     []string `json:"splices"`
	Studs       []string `json:"studs"`
	Runs        int      `json:"runs"`
	Wires       int      `json:"wires"`
	Contacts    int      `json:"contacts"`
	Codes       []string `json:"codes"` // that its pins can set
}

// JobJSON is what a job says.
type JobJSON struct {
	Machine      string             `json:"machine"`
	Complaint    string             `json:"complaint"`
	Codes        []string           `json:"codes"`
	Intermittent bool               `json:"intermittent"`
	Assume       map[string]float64 `json:"assume"`
	Readings     []ReadingJSON      `json:"readings"`
	Inspections  []InspectionJSON   `json:"inspections"`
}

// InspectionJSON is something seen at a place.
type InspectionJSON struct {
	At   string `json:"at"`
	Seen string `json:"seen"`
}

// JSON is the form for programs.
func (c Checked) JSON() CheckedJSON {
	out := CheckedJSON{File: c.File, Kind: c.Kind, OK: len(c.Problems.Errors()) == 0, Problems: []ProblemJSON{}}
	for _, p := range c.Problems {
		out.Problems = append(out.Problems, ProblemJSON(p))
	}
	if c.Circuit != nil {
		out.Circuit = circuitJSON(c.Circuit)
	}
	if c.Job != nil {
		out.Job = jobJSON(c.Job)
	}
	return out
}

func circuitJSON(c *circuits.Circuit) *CircuitJSON {
	out := &CircuitJSON{File: c.File, Title: c.Title, Pyrotechnic: c.Pyrotechnic, Modules: []string{}, Devices: []string{}, Connectors: []string{},
		Splices: []string{}, Studs: []string{}, Runs: len(c.Runs), Wires: len(c.Wires), Contacts: len(c.Contacts), Codes: append([]string{}, c.Codes()...)}
	for _, m := range c.Modules {
		out.Modules = append(out.Modules, m.Name)
		out.Pins += len(m.Pins)
	}
	for _, d := range c.Devices {
		out.Devices = append(out.Devices, d.Name)
	}
	for _, k := range c.Connectors {
		out.Connectors = append(out.Connectors, k.Name)
	}
	for _, s := range c.Splices {
		out.Splices = append(out.Splices, s.Name)
	}
	for _, s := range c.Studs {
		out.Studs = append(out.Studs, s.Name)
	}
	return out
}

func jobJSON(j *circuits.Job) *JobJSON {
	out := &JobJSON{Machine: j.Machine, Complaint: j.Complaint, Codes: append([]string{}, j.Codes...), Intermittent: j.Intermittent, Assume: j.Assume,
		Readings: []ReadingJSON{}, Inspections: []InspectionJSON{}}
	for _, r := range j.Readings {
		out.Readings = append(out.Readings, readingJSON(j.Circuit, r))
	}
	for _, i := range j.Inspections {
		out.Inspections = append(out.Inspections, InspectionJSON{i.At.String(), i.Seen})
	}
	return out
}

// Text says in a few lines what was understood, so that a slip of the pen meets the eye.
func (c Checked) Text(p Page) string {
	var b strings.Builder
	errors, warnings := len(c.Problems.Errors()), len(c.Problems.Warnings())
	found := "in order"
	var counts []string
	if errors > 0 {
		counts = append(counts, count(errors, "error", "errors"))
	}
	if warnings > 0 {
		counts = append(counts, count(warnings, "warning", "warnings"))
	}
	if len(counts) > 0 {
		found = strings.Join(counts, ", ")
	}
	b.WriteString(p.strong(fmt.Sprintf("%s: %s, %s", c.File, c.Kind, found)) + "\n")
	if c.Job != nil {
		b.WriteString(jobLines(p, c.Job))
	}
	if c.Circuit != nil {
		b.WriteString(circuitLines(p, c.Circuit))
	}
	return b.String()
}

// entry is one line of a summary; nothing is printed where there is nothing to say.
func (p Page) entry(word string, parts ...string) string {
	var said []string
	for _, s := range parts {
		if s != "" {
			said = append(said, s)
		}
	}
	if len(said) == 0 {
		return ""
	}
	return p.paragraph("  "+pad(word, 10, false), strings.Join(said, "; "))
}

func circuitLines(p Page, c *circuits.Circuit) string {
	var b strings.Builder
	b.WriteString(p.entry("circuit", c.Title))
	if c.Pyrotechnic {
		b.WriteString(p.entry("stop", "a pyrotechnic circuit: no ohms, lamp, load or jumper is accepted"))
	}
	battery := plainNumber(c.Battery.Volts) + nbsp + "V"
	if c.Battery.RunningVolts != c.Battery.Volts {
		battery += ", " + plainNumber(c.Battery.RunningVolts) + nbsp + "V with the engine running"
	}
	b.WriteString(p.entry("battery", battery))
	for _, m := range c.Modules {
		b.WriteString(p.entry("module", pinWords(c, m)))
	}
	var devices, joints []string
	for i := range c.Devices {
		devices = append(devices, deviceWords(&c.Devices[i]))
	}
	b.WriteString(p.entry("parts", devices...))
	for _, k := range c.Connectors {
		joints = append(joints, k.Name+nbsp+"("+count(len(c.Cavities(k.Name)), "way", "ways")+", "+k.Sides[0]+nbsp+"to"+nbsp+k.Sides[1]+")")
	}
	for _, s := range c.Splices {
		joints = append(joints, "splice"+nbsp+s.Name+nbsp+"("+count(s.Legs, "wire", "wires")+")")
	}
	for _, s := range c.Studs {
		joints = append(joints, "stud"+nbsp+s.Name)
	}
	b.WriteString(p.entry("joints", joints...))
	b.WriteString(p.entry("harness", count(len(c.Runs), "run", "runs")+", "+count(len(c.Wires), "wire", "wires")+", "+count(len(c.Contacts), "contact", "contacts")))
	b.WriteString(p.entry("codes", codeWords(c)...))
	return b.String()
}

// pinWords names a module and its pins by kind.
func pinWords(c *circuits.Circuit, m circuits.Module) string {
	var kinds []string
	byKind := map[string][]string{}
	for _, pin := range m.Pins {
		k := strings.ReplaceAll(string(pin.Kind), "_", "-")
		if byKind[k] == nil {
			kinds = append(kinds, k)
		}
		byKind[k] = append(byKind[k], pin.Cavity)
	}
	var out []string
	for _, k := range kinds {
		out = append(out, k+nbsp+strings.Join(byKind[k], ", "))
	}
	return named(c, m.Name) + ": " + strings.Join(out, "; ")
}

// deviceWords names a part, its kind, and what it is set to.
func deviceWords(d *circuits.Device) string {
	words := strings.ReplaceAll(string(d.Kind), "_", " ")
	if d.Label != "" && !strings.Contains(strings.ToLower(d.Label), words) {
		words = d.Label + ", " + words
	} else if d.Label != "" {
		words = d.Label
	}
	if d.HasSet {
		words += ", " + setWords(d, d.Set)
	}
	return d.Name + " (" + words + ")"
}

// codeWords says which pin sets which code when.
func codeWords(c *circuits.Circuit) []string {
	var out []string
	for _, m := range c.Modules {
		for _, p := range m.Pins {
			for _, l := range []*circuits.Limit{p.Below, p.Above} {
				if l == nil || l.Code == "" {
					continue
				}
				side := "above"
				if l == p.Below {
					side = "below"
				}
				out = append(out, held(l.Code+": "+p.Point().String()+" "+side+" "+plainNumber(l.Volts)+" V"))
			}
		}
	}
	return out
}

func jobLines(p Page, j *circuits.Job) string {
	var b strings.Builder
	b.WriteString(p.entry("machine", j.Machine))
	b.WriteString(p.entry("complaint", j.Complaint))
	if j.Intermittent {
		b.WriteString(p.entry("", "the symptom comes and goes"))
	}
	b.WriteString(p.entry("codes set", strings.Join(j.Codes, ", ")))
	var known []string
	for i := range j.Circuit.Devices {
		d := &j.Circuit.Devices[i]
		if set, ok := j.Assume[d.Name]; ok {
			known = append(known, Stimulus(j.Circuit, d.Name, set))
		}
	}
	b.WriteString(p.entry("assumed", known...))
	widest := width("planned")
	for _, r := range j.Readings {
		widest = max(widest, width(Read(r)))
	}
	for i, r := range j.Readings {
		word := ""
		if i == 0 {
			word = "readings"
		}
		value := Read(r)
		if value == "" {
			value = "planned"
		}
		b.WriteString(p.paragraph("  "+pad(word, 10, false)+pad(itoa(i+1), 2, true)+"  "+pad(spaced(value), widest, false)+"  ", readingWords(j.Circuit, r)))
	}
	for _, i := range j.Inspections {
		b.WriteString(p.entry("looked at", i.At.String()+": "+i.Seen))
	}
	return b.String()
}
