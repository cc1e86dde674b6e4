package draw

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"math"
	"strconv"
	"strings"
	"sync"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/circuits/read"
)

func svg(t testing.TB, c *circuits.Circuit, m Marks) []byte {
	t.Helper()
	return Draw(c, m).SVG()
}

// wantTexts requires everything that the author of a circuit wrote to stand in the text of a picture.
func wantTexts(t *testing.T, c *circuits.Circuit, text string) {
	t.Helper()
	squeezed := strings.Join(strings.Fields(text), " ")
	want := func(what, s string) {
		if s = strings.Join(strings.Fields(s), " "); !strings.Contains(squeezed, s) {
			t.Errorf("%s %q is not in the picture", what, s)
		}
	}
	want("title", c.Title)
	for _, m := range c.Modules {
		want("module", m.Name+" "+m.Label)
		for _, p := range m.Pins {
			want("pin", p.Cavity)
			want("pin's words", pinWords(p))
		}
	}
	for _, d := range c.Devices {
		want("device", d.Name+" "+d.Label)
	}
	for _, k := range c.Connectors {
		want("connector", k.Name+" "+k.Label)
	}
	for _, s := range c.Splices {
		want("splice", s.Name+" "+s.Label)
	}
	for _, s := range c.Studs {
		want("stud", s.Name+" "+s.Label)
	}
	for _, r := range c.Runs {
		want("run", r.Name)
	}
	for i := range c.Wires {
		want("wire's label", wireLabel(&c.Wires[i]))
	}
}

// groups lists class and data-at of every group of an SVG, and how often each occurs.
func groups(t *testing.T, document []byte) map[string]int {
	t.Helper()
	out := map[string]int{}
	d := xml.NewDecoder(bytes.NewReader(document))
	for {
		token, err := d.Token()
		if token == nil {
			if err != nil && err.Error() != "EOF" {
				t.Fatalf("not well-formed: %v", err)
			}
			return out
		}
		if e, ok := token.(xml.StartElement); ok && e.Name.Local == "g" {
			var class, at string
			for _, a := range e.Attr {
				switch a.Name.Local {
				case "class":
					class = a.Value
				case "data-at":
					at = a.Value
				}
			}
			out[class+" "+at]++
		}
	}
}

func TestSVGHoldsEverything(t *testing.T) {
	for _, name := range library.Names() {
		t.Run(name, func(t *testing.T) {
			c := fromLibrary(t, name)
			for _, m := range []Marks{{}, everywhere(c)} {
				document := svg(t, c, m)
				wantTexts(t, c, plainText(t, document))
				found := groups(t, document)
				for _, w := range c.Wires {
					if n := found["wire "+w.Location.String()]; n != 1 {
						t.Errorf("wire %s is drawn %d times", w.Location, n)
					}
					for _, p := range []circuits.Point{w.From, w.To} {
						if found["point "+p.String()] == 0 {
							t.Errorf("point %s cannot be tapped", p)
						}
					}
				}
				for _, k := range c.Contacts {
					if found["part "+k.Place] != 1 {
						t.Errorf("the part of contact %s is drawn %d times", k.Location, found["part "+k.Place])
					}
				}
				for _, s := range m.Suspects {
					if found["suspect "+s.Location.String()] == 0 {
						t.Errorf("suspect %s has no tag", s.Location)
					}
				}
				for _, p := range m.Tests {
					if found["test "+p.Point.String()] == 0 {
						t.Errorf("test point %s has no values", p.Point)
					}
				}
				if strings.Contains(plainText(t, document), "Not in this circuit") {
					t.Error("a place of the circuit itself is said not to be in it")
				}
			}
		})
	}
}

// TestSuspectReadsWithoutColour looks at one suspect wire: in words, numbered, thicker than a sound wire, solid to the
// suspect place and dashed beyond it.
func TestSuspectReadsWithoutColour(t *testing.T) {
	c := fromLibrary(t, "throttle-potentiometer")
	drawn := Draw(c, markedThrottle(t))
	var texts []string
	widths := map[string]float64{}
	dashed := map[string]bool{}
	solid := map[string]bool{}
	badges := map[string]int{}
	wire := ""
	for i, s := range drawn.Shapes {
		switch {
		case s.Kind == Disc && s.Radius == 8 && s.Fill == ink:
			badges[drawn.Shapes[i+1].Text]++
		case s.Kind == Group && s.Class == "wire":
			wire = s.Name
		case s.Kind == End:
			wire = ""
		case s.Kind == Text:
			texts = append(texts, s.Text)
		case s.Kind == Line && wire != "" && s.Stroke == ink:
			widths[wire] = s.Width
			dashed[wire] = dashed[wire] || s.Dash != nil
			solid[wire] = solid[wire] || s.Dash == nil
		}
	}
	all := strings.Join(texts, "\n")
	for i, s := range markedThrottle(t).Suspects {
		if !strings.Contains(all, s.Words) {
			t.Errorf("%q is not written", s.Words)
		}
		want := 2 // on the place and on its tag
		if s.Location.From.Cavity == "" {
			want = 1 // the tag of a whole part stands in the part
		}
		if n := badges[fmt.Sprint(i+1)]; n < want {
			t.Errorf("number %d of %s is drawn %d times, %d expected", i+1, s.Location, n, want)
		}
	}
	const suspect, sound = "C12:1>TPS:A", "ECM:35>C12:3"
	if widths[suspect] < 1.5*widths[sound] {
		t.Errorf("the suspect wire is %.1f wide, a sound one %.1f", widths[suspect], widths[sound])
	}
	if !dashed[suspect] || !solid[suspect] {
		t.Errorf("the suspect wire has a solid half: %v, a dashed half: %v", solid[suspect], dashed[suspect])
	}
	if dashed[sound] {
		t.Error("a sound wire is dashed")
	}
	for _, want := range []string{"0.00 V", "healthy 5.00 V", "suspect 0.00 V", "not yet read", "0.004 V"} {
		if !strings.Contains(all, want) {
			t.Errorf("test point text %q is not written", want)
		}
	}
}

func TestSVGEscapesNastyLabels(t *testing.T) {
	document := svg(t, parse(t, nastyCircuit), Marks{
		Title: nasty, Cautions: []string{nasty}, Legend: true,
		Suspects: []Suspect{{Location: location(t, "R"), Words: nasty}}, Tests: []Test{{Point: point(t, "M:1"), Measured: nasty + "\x00\x1b"}},
	})
	text := plainText(t, document)
	for _, want := range []string{`<b>&"\ title`, `<b>&"\ module`, `<i>&"\pin`, `</TABLE>&quot;"\`, `<!-- &"\ connector`, `{|}&"\ splice`, `<b>&"\ run`, nasty} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in the picture", want)
		}
	}
	if bytes.Contains(document, []byte("<b>")) || bytes.ContainsAny(document, "\x00\x1b") {
		t.Error("user text went into the document as it was")
	}
}

func TestMarksOfAnotherCircuitAreSaid(t *testing.T) {
	m := Marks{
		Suspects: []Suspect{{Location: location(t, "X9:1>Y:2"), Words: "open here? 5 %"}, {Location: location(t, "C12:99"), Words: "worn? 2 %"}},
		Tests:    []Test{{Point: point(t, "ZZ:4"), Measured: "1.23 V"}},
	}
	c := fromLibrary(t, "throttle-potentiometer")
	for form, text := range map[string]string{"SVG": plainText(t, svg(t, c, m)), "DOT": DOT(c, m)} {
		for _, want := range []string{"Not in this circuit", "Y:2: open here? 5 %", "C12:99: worn? 2 %", "ZZ:4: 1.23 V"} {
			if !strings.Contains(text, want) {
				t.Errorf("%s does not say %q", form, want)
			}
		}
	}
}

// TestSameBytes draws each circuit from several goroutines at once: no state, no map order.
func TestSameBytes(t *testing.T) {
	for _, name := range []string{"can-pair", "shared-reference"} {
		c := fromLibrary(t, name)
		m := everywhere(c)
		want, wantDOT := svg(t, c, m), DOT(c, m)
		var wait sync.WaitGroup
		for range 4 {
			wait.Add(1)
			go func() {
				defer wait.Done()
				again := fromLibrary(t, name)
				if !bytes.Equal(Draw(again, everywhere(again)).SVG(), want) {
					t.Errorf("%s: another SVG from the same circuit", name)
				}
				if DOT(again, everywhere(again)) != wantDOT {
					t.Errorf("%s: another DOT text from the same circuit", name)
				}
			}()
		}
		wait.Wait()
	}
}

func TestPyrotechnicCircuitCarriesItsCaution(t *testing.T) {
	c := fromLibrary(t, "squib")
	if !c.Pyrotechnic {
		t.Fatal("the squib circuit is not marked as pyrotechnic")
	}
	for form, text := range map[string]string{"SVG": plainText(t, svg(t, c, Marks{})), "DOT": DOT(c, Marks{})} {
		if !strings.Contains(text, "Pyrotechnic circuit: no ohmmeter") {
			t.Errorf("%s has no caution", form)
		}
	}
}

// FuzzSVG draws whatever the parser lets through: no panic, a well-formed document, every wire once.
func FuzzSVG(f *testing.F) {
	f.Add(nastyCircuit)
	f.Add(fleet(3))
	for _, name := range []string{"throttle-potentiometer", "squib", "rtd-three-wire"} { // small ones: the fuzzer is to try many
		text, err := library.Text(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(text))
	}
	f.Fuzz(func(t *testing.T, text string) {
		c, _ := read.Circuit("fuzz.circuit.toml", []byte(text))
		if c == nil || len(c.Wires) > 40 {
			return
		}
		found := groups(t, svg(t, c, everywhere(c)))
		for _, w := range c.Wires {
			if n := found["wire "+w.Location.String()]; n != 1 {
				t.Errorf("wire %s is drawn %d times", w.Location, n)
			}
		}
		DOT(c, everywhere(c))
	})
}

// TestSVGTextKeepsItsLength: whatever sans-serif a viewer has, a text is as long as was measured, so that it stays in its frame.
func TestSVGTextKeepsItsLength(t *testing.T) {
	c := fromLibrary(t, "throttle-potentiometer")
	d := xml.NewDecoder(bytes.NewReader(svg(t, c, markedThrottle(t))))
	seen := 0
	for {
		token, _ := d.Token()
		if token == nil {
			break
		}
		e, ok := token.(xml.StartElement)
		if !ok || e.Name.Local != "text" {
			continue
		}
		attr := map[string]string{}
		for _, a := range e.Attr {
			attr[a.Name.Local] = a.Value
		}
		text, _ := d.Token()
		size, _ := strconv.ParseFloat(attr["font-size"], 64)
		length, _ := strconv.ParseFloat(attr["textLength"], 64)
		want, _ := newRuler().measured(line{text: string(text.(xml.CharData)), size: size, bold: attr["font-weight"] == "bold"})
		if math.Abs(length-want) > 0.01 {
			t.Errorf("%q is set %.2f long, measured %.2f", text, length, want)
		}
		seen++
	}
	if seen < 50 {
		t.Errorf("only %d texts seen", seen)
	}
}
