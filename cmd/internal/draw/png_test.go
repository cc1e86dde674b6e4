package draw

import (
	"bytes"
	"image"
	"image/png"
	"math"
	"strings"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/models"
)

func picture(t *testing.T, c *circuits.Circuit, m Marks) image.Image {
	t.Helper()
	b, err := Draw(c, m).PNG()
	if err != nil {
		t.Fatal(err)
	}
	im, err := png.Decode(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	return im
}

// hexAt is the colour of the pixel under a place of the drawn.
func hexAt(im image.Image, q XY) string {
	r, g, b, _ := im.At(int(q.X*pixelsPerUnit), int(q.Y*pixelsPerUnit)).RGBA()
	const digits = "0123456789abcdef"
	out := []byte("#")
	for _, v := range []uint32{r >> 8, g >> 8, b >> 8} {
		out = append(out, digits[v>>4], digits[v&15])
	}
	return string(out)
}

// TestPNGShowsEveryWire walks along every wire of a picture and requires each colour of its insulation there.
func TestPNGShowsEveryWire(t *testing.T) {
	for _, name := range []string{"throttle-potentiometer", "shared-reference", "can-pair"} {
		c := fromLibrary(t, name)
		drawn := Draw(c, Marks{})
		im := picture(t, c, Marks{})
		if got, want := im.Bounds().Size(), image.Pt(int(math.Ceil(drawn.Width*pixelsPerUnit)), int(math.Ceil(drawn.Height*pixelsPerUnit))); got != want {
			t.Errorf("%s: the picture is %v, its size %v", name, got, want)
		}
		paths := map[string][]XY{}
		wire := ""
		for _, s := range drawn.Shapes {
			switch {
			case s.Kind == Group && s.Class == "wire":
				wire = s.Name
			case s.Kind == End:
				wire = ""
			case s.Kind == Line && wire != "" && paths[wire] == nil:
				paths[wire] = s.Points
			}
		}
		for _, w := range c.Wires {
			seen := map[string]int{}
			path := paths[w.Location.String()]
			for i := 1; i < len(path); i++ {
				a, b := path[i-1], path[i]
				length := math.Hypot(b.X-a.X, b.Y-a.Y)
				for d := 1.0; d < length; d++ {
					seen[hexAt(im, XY{a.X + (b.X-a.X)*d/length, a.Y + (b.Y-a.Y)*d/length})]++
				}
			}
			for _, code := range strings.Split(w.Color, "/") {
				if seen[models.ColourHex(code)] < 8 {
					t.Errorf("%s: wire %s shows %d pixels of %s: %v", name, w.Location, seen[models.ColourHex(code)], code, seen)
				}
			}
		}
	}
}

// TestPNGShowsTheDash counts how often the suspect wire's middle line changes between wire and paper.
func TestPNGShowsTheDash(t *testing.T) {
	c := fromLibrary(t, "throttle-potentiometer")
	m := markedThrottle(t)
	im := picture(t, c, m)
	var at []XY
	inWire := false
	for _, s := range Draw(c, m).Shapes {
		switch {
		case s.Kind == Group:
			inWire = s.Class == "wire" && s.Name == m.Suspects[0].Location.String()
		case s.Kind == Line && inWire && s.Stroke == ink && s.Dash != nil && at == nil:
			at = s.Points
		}
	}
	if len(at) != 2 {
		t.Fatalf("the dashed half is %v", at)
	}
	gaps, before := 0, ""
	for x := at[0].X + 10; x < at[1].X-14; x += 0.5 {
		now := hexAt(im, XY{x, at[0].Y})
		if now == paper && before != paper {
			gaps++
		}
		before = now
	}
	want := int((at[1].X - at[0].X - 24) / (beyond[0] + beyond[1]))
	if gaps < want || want < 2 {
		t.Errorf("%d gaps in the dashed half, at least %d expected", gaps, want)
	}
}

// TestPNGHasText compares the ink under a label's place with the bare paper beside it.
func TestPNGHasText(t *testing.T) {
	c := fromLibrary(t, "coolant-temperature")
	drawn, im := Draw(c, Marks{}), picture(t, c, Marks{})
	checked := 0
	for _, r := range textRects(drawn) {
		dark := 0
		for y := r.low.Y; y < r.high.Y; y += 0.5 {
			for x := r.low.X; x < r.high.X; x += 0.5 {
				if red, _, _, _ := im.At(int(x*pixelsPerUnit), int(y*pixelsPerUnit)).RGBA(); red < 0x8000 {
					dark++
				}
			}
		}
		if dark < 4 {
			t.Errorf("no ink where %q should stand", r.what)
		}
		checked++
	}
	if checked < 30 {
		t.Errorf("only %d texts looked at", checked)
	}
}

// TestLettersOfAPNG: 12 units of text are six pixels at half a pixel a unit, which 40 million pixels give 160 million square units.
func TestLettersOfAPNG(t *testing.T) {
	for height, want := range map[float64]bool{100: true, 15_900: true, 16_100: false, 50_000: false} {
		if got := (Picture{Width: 10_000, Height: height}).ReadableAsPNG(); got != want {
			t.Errorf("10 000 × %.0f units: readable %v", height, got)
		}
	}
}

func TestPNGOfAHugeSheetStaysSmall(t *testing.T) {
	b, err := Picture{Width: 100_000, Height: 50_000}.PNG()
	if err != nil {
		t.Fatal(err)
	}
	cfg, err := png.DecodeConfig(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	if float64(cfg.Width)*float64(cfg.Height) > mostPixels*1.01 {
		t.Errorf("%d × %d pixels", cfg.Width, cfg.Height)
	}
}
