package draw

import (
	"bytes"
	"context"
	"encoding/xml"
	"strings"
	"sync"
	"testing"

	graphviz "github.com/goccy/go-graphviz"

	"ohmtrail/circuits/library"
)

func TestDOTGolden(t *testing.T) {
	golden(t, "throttle-potentiometer.dot", DOT(fromLibrary(t, "throttle-potentiometer"), markedThrottle(t)))
	golden(t, "can-pair.dot", DOT(fromLibrary(t, "can-pair"), Marks{
		Suspects: []Suspect{{
			Location: location(t, "S2H>C20:1"), Other: location(t, "S2L>C20:2"), Probability: 0.8, Words: "touching here? 80 %",
		}},
	}))
	golden(t, "nasty.dot", DOT(parse(t, nastyCircuit), Marks{
		Title: nasty, Cautions: []string{nasty},
		Suspects: []Suspect{{Location: location(t, "S"), Probability: 1, Words: nasty}},
		Tests:    []Test{{Point: point(t, "M:1"), Measured: nasty}},
	}))
}

// oneGraphviz guards the renderer, which crashes when used from two goroutines. Only tests link it.
var oneGraphviz sync.Mutex

// textsOf renders DOT text with Graphviz and returns the texts and titles that stand in the picture.
func textsOf(t *testing.T, dot string) string {
	t.Helper()
	oneGraphviz.Lock()
	defer oneGraphviz.Unlock()
	ctx := context.Background()
	g, err := graphviz.New(ctx)
	if err != nil {
		t.Fatal(err)
	}
	defer g.Close()
	graph, err := graphviz.ParseBytes([]byte(dot))
	if err != nil {
		t.Fatalf("Graphviz does not read it: %v", err)
	}
	defer graph.Close()
	var b bytes.Buffer
	if err := g.Render(ctx, graph, "svg_inline", &b); err != nil {
		t.Fatalf("Graphviz does not draw it: %v", err)
	}
	return plainText(t, b.Bytes())
}

// plainText joins all text of an XML document, one piece a line, with single plain spaces.
func plainText(t *testing.T, document []byte) string {
	t.Helper()
	var out strings.Builder
	d := xml.NewDecoder(bytes.NewReader(document))
	d.Strict = true
	for {
		token, err := d.Token()
		if token == nil {
			if err != nil && err.Error() != "EOF" {
				t.Fatalf("not well-formed: %v", err)
			}
			return out.String()
		}
		if c, ok := token.(xml.CharData); ok {
			if s := strings.Join(strings.Fields(string(c)), " "); s != "" {
				out.WriteString(s + "\n")
			}
		}
	}
}

// TestGraphvizDrawsEveryCircuit renders the DOT text of the whole library: a label that is malformed is dropped
// silently by Graphviz, so what was asked for must be found in what came out.
func TestGraphvizDrawsEveryCircuit(t *testing.T) {
	for _, name := range library.Names() {
		t.Run(name, func(t *testing.T) {
			c := fromLibrary(t, name)
			text := textsOf(t, DOT(c, everywhere(c)))
			wantTexts(t, c, text)
			for _, w := range c.Wires {
				if !strings.Contains(text, "\n"+w.Location.String()+"\n") {
					t.Errorf("wire %s is not in the picture", w.Location)
				}
			}
		})
	}
}

func TestGraphvizTakesNastyLabels(t *testing.T) {
	text := textsOf(t, DOT(parse(t, nastyCircuit), Marks{Title: nasty, Suspects: []Suspect{{Location: location(t, "R"), Words: nasty}}}))
	for _, want := range []string{`<b>&"\ title`, `<b>&"\ module`, `<i>&"\pin`, `</TABLE>&quot;"\`, `<!-- &"\ connector`, `{|}&"\ splice`, `<b>&"\ run`, nasty} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in the picture:\n%s", want, text)
		}
	}
}
