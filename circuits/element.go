package circuits

import "slices"

// ElementKind is what a name of a circuit stands for.
type ElementKind uint8

// The kinds of element; 0 is that of an unknown name.
const (
	ElementModule ElementKind = iota + 1
	ElementDevice
	ElementConnector
	ElementSplice
	ElementStud
	ElementPost
)

var elementWords = [...]string{"", "module", "device", "in-line connector", "splice", "ground stud", "battery post"}

// String is the kind's word in sentences.
func (k ElementKind) String() string { return elementWords[k] }

// Element says where a named part stands: in which of the circuit's lists, at which index, on which line of the file.
type Element struct {
	Kind  ElementKind
	Index int
	Line  int
}

// New is a circuit with nothing but the battery's posts. Whoever reads a circuit registers every part under its name, and
// adds wires and contacts, so that they are found.
func New(file string) *Circuit {
	return &Circuit{File: file, elements: map[string]Element{"B+": {Kind: ElementPost}, "B-": {Kind: ElementPost}},
		order: map[Location]int{}, wireIndex: map[Location]int{}, matedAt: map[Location]int{}, ways: map[string][]string{}}
}

// Element is what a name stands for; its kind is 0 where nothing is called so.
func (c *Circuit) Element(name string) Element { return c.elements[name] }

// Register gives a name to an element.
func (c *Circuit) Register(name string, e Element) { c.elements[name] = e }

// Named notes that the file names a place at a rank; the first one counts, for the order of double faults.
func (c *Circuit) Named(l Location, rank int) {
	if old, ok := c.order[l]; !ok || rank < old {
		c.order[l] = rank
	}
}

// AddRun adds a run, whose wires are added by themselves.
func (c *Circuit) AddRun(r Run) {
	for _, p := range r.Path {
		if p.Cavity != "" && !slices.Contains(c.ways[p.Place], p.Cavity) {
			c.ways[p.Place] = append(c.ways[p.Place], p.Cavity)
		}
	}
	c.Runs = append(c.Runs, r)
}

// AddWire adds a wire. Of two between the same points the first is found by its location.
func (c *Circuit) AddWire(w Wire) {
	if _, taken := c.wireIndex[w.Location]; !taken {
		c.wireIndex[w.Location] = len(c.Wires)
	}
	c.Wires = append(c.Wires, w)
}

// AddContact adds a mated contact.
func (c *Circuit) AddContact(k Contact) {
	c.matedAt[k.Location] = len(c.Contacts)
	c.Contacts = append(c.Contacts, k)
}
