// Package circuits is the vocabulary of wiring diagrams: circuits, parts, places, faults, jobs, readings, and what a reading
// costs. It computes no voltage and reads no text; circuits/read makes its values.
package circuits

import "ohmtrail/models"

// Circuit is one wiring diagram: its parts, and the wires and contacts that its runs are made of. A Circuit returned
// by read.Circuit without errors is valid: every name in it resolves.
type Circuit struct {
	File        string
	Title       string
	Notes       string // general remarks of the author
	Pyrotechnic bool   // an airbag or other squib circuit: no ohms, lamp or load, ever
	Battery     Battery
	Modules     []Module // in file order, as are all the lists below
	Devices     []Device
	Connectors  []Connector
	Splices     []Splice
	Studs       []Stud
	Runs        []Run
	Wires       []Wire
	Contacts    []Contact // mated contacts, in the order in which the runs name them
	FaultNotes  []FaultNote

	elements  map[string]Element
	order     map[Location]int // where the file names each place first, for the order of double faults
	wireIndex map[Location]int
	matedAt   map[Location]int
	ways      map[string][]string // cavities of each in-line connector, in the order in which the runs name them
}

// MaxVolts is the highest battery voltage accepted: the boundary of voltage class A of ISO 6469-3 (from memory) and of
// extra-low voltage in IEC 60950-1.
const MaxVolts = 60

// Battery is the source of every voltage. Volts with the key on and the engine off, RunningVolts with it running.
type Battery struct {
	Volts, RunningVolts, SourceOhms float64
	Widths                          [3]models.Width // of BatteryNumbers
}

// Module is a control module: pins towards one internal ground.
type Module struct {
	Name, Label string
	Line        int
	AccessMin   float64
	SupplyOhms  float64      // drawn from each power pin to internal ground while the key is not off
	Pins        []Pin        // in file order
	Width       models.Width // of its number
}

// Connector is an in-line connector of two halves; the first path through it crosses from the first side to the second.
type Connector struct {
	Name, Label string
	Line        int
	AccessMin   float64
	Sides       [2]string
	Crossed     bool // some wire is on its second half
}

// Splice joins all wires that touch it.
type Splice struct {
	Name, Label string
	Line        int
	AccessMin   float64
	Legs        int          // wires that end here
	LegOhms     float64      // that each adds to its wire
	Width       models.Width // of its number
}

// Stud is a ground stud: its joint lies between its point and the battery's negative post.
type Stud struct {
	Name, Label string
	Line        int
	AccessMin   float64
	Ohms        float64
	Width       models.Width // of its number
}

// Run is a chain of wires as one reads it along the diagram.
type Run struct {
	Name  string
	Role  string
	Line  int
	Path  []Point
	Wires []int // indices into Circuit.Wires
}

// Title is the run's name, or its first and last point where it has none.
func (r Run) Title() string {
	if r.Name != "" || len(r.Path) == 0 {
		return r.Name
	}
	return r.Path[0].String() + " to " + r.Path[len(r.Path)-1].String()
}

// Wire is one piece of cable with its crimps.
type Wire struct {
	Location Location
	From, To Point // the ends with their sides
	Run      int   // index into Circuit.Runs
	Line     int
	Ohms     float64      // with the legs of the splices that it ends in
	Width    models.Width // of Ohms
	SizeMM2  float64
	LengthM  float64
	Color    string
	Risk     float64

	LengthGiven bool // by the file
}

// Contact is a mated pair: harness side and part's pin, or the two halves of an in-line connector.
type Contact struct {
	Location Location
	First    Point // harness side, or first half
	Second   Point // part's own pin, or second half
	Place    string
	Line     int
	Ohms     float64
	Width    models.Width // of its number

	AgainstPath bool // the path through it reads from the second half to the first
}

// InPathOrder are its two sides as current counts positive: from the harness into a part, else as its path reads.
func (k Contact) InPathOrder() (from, to Point) {
	if k.AgainstPath {
		return k.Second, k.First
	}
	return k.First, k.Second
}

// FaultNote is the author's claim of what a fault does here; the project's tests hold the claim against the solver.
type FaultNote struct {
	Line   int
	Fault  Fault
	Says   string
	Sets   string  // a code that the fault sets; "" for none claimed
	Expect Reading // a reading with the claimed value; Expect.At is zero where none is claimed
	Within float64 // tolerance of the claimed value, in its unit
}

// Module finds a module by name; nil where there is none.
func (c *Circuit) Module(name string) *Module {
	if e := c.elements[name]; e.Kind == ElementModule {
		return &c.Modules[e.Index]
	}
	return nil
}

// Device finds a device by name; nil where there is none.
func (c *Circuit) Device(name string) *Device {
	if e := c.elements[name]; e.Kind == ElementDevice {
		return &c.Devices[e.Index]
	}
	return nil
}

// Connector finds an in-line connector by name; nil where there is none.
func (c *Circuit) Connector(name string) *Connector {
	if e := c.elements[name]; e.Kind == ElementConnector {
		return &c.Connectors[e.Index]
	}
	return nil
}

// Splice finds a splice by name; nil where there is none.
func (c *Circuit) Splice(name string) *Splice {
	if e := c.elements[name]; e.Kind == ElementSplice {
		return &c.Splices[e.Index]
	}
	return nil
}

// Stud finds a ground stud by name; nil where there is none.
func (c *Circuit) Stud(name string) *Stud {
	if e := c.elements[name]; e.Kind == ElementStud {
		return &c.Studs[e.Index]
	}
	return nil
}

// Pin finds a module pin by its point; nil where there is none.
func (c *Circuit) Pin(p Point) *Pin {
	m := c.Module(p.Place)
	if m == nil {
		return nil
	}
	for i := range m.Pins {
		if m.Pins[i].Cavity == p.Cavity {
			return &m.Pins[i]
		}
	}
	return nil
}

// Wire finds a wire by its location; nil where there is none.
func (c *Circuit) Wire(l Location) *Wire {
	if i, ok := c.wireIndex[l]; ok {
		return &c.Wires[i]
	}
	return nil
}

// Contact finds a mated contact by its location; nil where there is none.
func (c *Circuit) Contact(l Location) *Contact {
	if i, ok := c.matedAt[l]; ok {
		return &c.Contacts[i]
	}
	return nil
}

// KindOf is the word for what a name stands for ("module", "splice", …), "" for an unknown name.
func (c *Circuit) KindOf(name string) string { return c.elements[name].Kind.String() }

// AccessMin is the time in minutes to reach a place of that name; 0 for a battery post.
func (c *Circuit) AccessMin(name string) float64 {
	switch e := c.elements[name]; e.Kind {
	case ElementModule:
		return c.Modules[e.Index].AccessMin
	case ElementDevice:
		return c.Devices[e.Index].AccessMin
	case ElementConnector:
		return c.Connectors[e.Index].AccessMin
	case ElementSplice:
		return c.Splices[e.Index].AccessMin
	case ElementStud:
		return c.Studs[e.Index].AccessMin
	}
	return 0
}

// Label is the author's long name of a place, or its short name where there is none.
func (c *Circuit) Label(name string) string {
	label := ""
	switch e := c.elements[name]; e.Kind {
	case ElementModule:
		label = c.Modules[e.Index].Label
	case ElementDevice:
		label = c.Devices[e.Index].Label
	case ElementConnector:
		label = c.Connectors[e.Index].Label
	case ElementSplice:
		label = c.Splices[e.Index].Label
	case ElementStud:
		label = c.Studs[e.Index].Label
	}
	if label == "" {
		return name
	}
	return label
}
