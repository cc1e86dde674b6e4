package chart

import (
	"bytes"
	"encoding/xml"
	"flag"
	"image/png"
	"io"
	"math"
	"os"
	"strings"
	"testing"

	"ohmtrail/solver/recording"
)

var update = flag.Bool("update", false, "rewrite the golden drawing")

// example is a small chart with one of everything.
func example() Chart {
	e := recording.NewEnvelope(200)
	for i := range 120 {
		v := 2.7 + 0.02*math.Sin(float64(i)*1.7)
		if i >= 40 && i < 60 {
			v = 0
		}
		at := float64(i) / 10
		if i >= 90 {
			at += 3 // a gap
		}
		e.Add(at, v)
	}
	return Chart{
		Title: "loader 7: height drops out & comes back", Note: "a.csv", Clock: "10:15:03",
		Strips: []Strip{{Label: "scan MCU:A2, V", Trace: e.Bands(), Levels: []Level{{0, 3.9, 2.7}, {4, 5.9, 0}, {6, 14.9, 2.7}}, Jumps: []float64{3.95, 5.95},
			Bands: []Band{{"healthy: 2.60 V to 2.80 V", 2.6, 2.8}, {"open C7:1 or 3 others like it (96 %): 0.000 V", 0, 0}}}},
		Marks: []recording.Mark{{Place: "C7", From: 3.5, To: 6.5}, {Place: "MHS", From: 8, To: 8.5}},
	}
}

// TestGolden holds the drawing against the one that was looked at; -update draws it anew.
func TestGolden(t *testing.T) {
	got, err := SVG(example())
	if err != nil {
		t.Fatal(err)
	}
	const file = "testdata/example.svg"
	if *update {
		if err := os.WriteFile(file, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("the drawing has changed; look at it, then go test ./cmd/internal/chart -update")
	}
}

// TestEveryWordStands: title, labels, bands and places are in the drawing as text, and it is well-formed.
func TestEveryWordStands(t *testing.T) {
	body, err := SVG(example())
	if err != nil {
		t.Fatal(err)
	}
	var text strings.Builder
	for d := xml.NewDecoder(bytes.NewReader(body)); ; {
		token, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		if c, ok := token.(xml.CharData); ok {
			text.Write(c)
			text.WriteByte(' ')
		}
	}
	for _, word := range []string{"loader 7: height drops out & comes back", "a.csv", "scan MCU:A2, V", "healthy: 2.60 V to 2.80 V", "open C7:1", "C7", "MHS", "seconds from 10:15:03", "moved by hand"} {
		if !strings.Contains(strings.Join(strings.Fields(text.String()), " "), word) {
			t.Errorf("%q is not in the drawing", word)
		}
	}
}

// TestPNG: the same bytes each time, of the stated size, and no colour at all, so that nothing is told by colour.
func TestPNG(t *testing.T) {
	a, err := PNG(example())
	if err != nil {
		t.Fatal(err)
	}
	b, err := PNG(example())
	if err != nil || !bytes.Equal(a, b) {
		t.Fatalf("two pictures of one chart differ (%v)", err)
	}
	m, err := png.Decode(bytes.NewReader(a))
	if err != nil {
		t.Fatal(err)
	}
	if size := m.Bounds().Size(); size.X != 2*width || size.Y != int(2*example().height()) {
		t.Errorf("size %v", size)
	}
	ink := 0
	for y := range m.Bounds().Dy() {
		for x := range m.Bounds().Dx() {
			r, g, b, _ := m.At(x, y).RGBA()
			if r != g || g != b {
				t.Fatalf("colour at %d, %d", x, y)
			}
			if r < 0x8000 {
				ink++
			}
		}
	}
	if ink < 5000 {
		t.Errorf("only %d dark dots", ink)
	}
}

func TestDecades(t *testing.T) {
	var names []string
	for _, x := range (decades{}).Ticks(0.05, 4e7) {
		if x.Label != "" {
			names = append(names, x.Label)
		}
	}
	if got := strings.Join(names, ", "); got != "100 m, 1, 10, 100, 1 k, 10 k, 100 k, 1 M, 10 M" {
		t.Errorf("ticks %s", got)
	}
}

// TestEvenTicksDiffer: names of ticks tell them apart, however small the span or large the values.
func TestEvenTicksDiffer(t *testing.T) {
	for _, c := range [][2]float64{{0, 3}, {4.99, 5.03}, {-0.2, 0.6}, {1e6, 1e6 + 1}, {0, 1e-6}, {-3, 1000}} {
		seen := map[string]bool{}
		for _, x := range (even{}).Ticks(c[0], c[1]) {
			if x.Label != "" && seen[x.Label] {
				t.Errorf("%v: two ticks are called %s", c, x.Label)
			}
			seen[x.Label] = true
		}
		if len(seen) < 2 {
			t.Errorf("%v: no two names", c)
		}
	}
}

// TestOddCharts: nothing recorded, one sample, values that are no numbers in a band, ohms over decades.
func TestOddCharts(t *testing.T) {
	one := recording.NewEnvelope(10)
	one.Add(3, 7)
	ohms := recording.NewEnvelope(10)
	for i, v := range []float64{0, 0.4, 40e6, 1200} {
		ohms.Add(float64(i), v)
	}
	for name, c := range map[string]Chart{
		"nothing":  {},
		"no trace": {Strips: []Strip{{Label: "V"}}},
		"one":      {Strips: []Strip{{Trace: one.Bands(), Bands: []Band{{"healthy", math.NaN(), math.NaN()}}}}},
		"ohms":     {Strips: []Strip{{Trace: ohms.Bands(), Log: true, Levels: []Level{{0, 1, 0}}}}, Marks: []recording.Mark{{Place: "C7", From: -5, To: 99}}},
	} {
		if _, err := SVG(c); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if _, err := PNG(c); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}
