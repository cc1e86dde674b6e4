package worksheet

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"math"
	"os"
	"regexp"
	"strings"
	"sync"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/cmd/internal/draw"
	"ohmtrail/cmd/internal/paper"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/plan"
	"ohmtrail/solver/rank"
)

var update = flag.Bool("update", false, "rewrite what testdata expects")

// sheets are those made so far, for several tests look at one.
var sheets sync.Map

// sheetOf makes a sheet of a library circuit, or gives the one made before.
func sheetOf(t testing.TB, name string, seed uint64) Sheet {
	t.Helper()
	key := fmt.Sprint(name, seed)
	s, ok := sheets.Load(key)
	if !ok {
		s = newSheet(t, name, seed)
		sheets.Store(key, s)
	}
	return s.(Sheet)
}

func newSheet(t testing.TB, name string, seed uint64) Sheet {
	t.Helper()
	c, err := library.Circuit(name)
	if err != nil {
		t.Fatal(err)
	}
	s, err := Make(Subject{Name: name, Job: &circuits.Job{Circuit: c, Meter: circuits.DefaultMeter(), Assume: map[string]float64{}}}, Options{Kinds(), seed})
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return s
}

// some circuits of different build: divider, three-wire, shared supply, loads with amperes, bus, loop.
var various = []string{"coolant-temperature", "throttle-potentiometer", "pressure-three-wire", "lamp-relay-feed", "oil-pressure-switch", "current-loop-4-20", "hall-speed"}

func TestRounded(t *testing.T) {
	for _, c := range []struct {
		volts float64
		want  string
	}{
		{0, "0.000"}, {-0.0004, "0.000"}, {0.0125, "0.013"}, {4.98049, "4.980"}, {5.9994, "5.999"}, {5.9996, "6.00"}, {12.486, "12.49"}, {-6.4, "-6.40"},
	} {
		if got := strings.TrimSuffix(Volts(c.volts), nbsp+"V"); got != c.want {
			t.Errorf("%g V is shown as %s, not %s", c.volts, got, c.want)
		}
	}
}

// TestByHand holds one divider against a reckoning by hand: at 50 °C the sensor of the library's two-wire circuit has
// 838 Ω by its table (ln Ω linear in 1/K); 1 kΩ to 5 V above it. 5 · 838/1838 = 2.280 V; the module's 1 MΩ and the
// meter's 10 MΩ take 1 mV, and the module's ground adds up to 10 mV of its feed's 0.42 A. An open sensor leaves 5 V.
func TestByHand(t *testing.T) {
	c, err := library.Circuit("coolant-temperature")
	if err != nil {
		t.Fatal(err)
	}
	j := &circuits.Job{Circuit: c, Meter: circuits.DefaultMeter(), Assume: map[string]float64{"ECT": 50}}
	if ohms := c.Device("ECT").OhmsAt(50); math.Abs(ohms-838) > 10 {
		t.Fatalf("the sensor has %.0f Ω at 50 °C: reckon anew", ohms)
	}
	p, _ := circuits.ParsePoint("ECT:1")
	open, err := circuits.ParseFault("open ECT:1")
	if err != nil {
		t.Fatal(err)
	}
	for _, k := range []struct {
		fault circuits.Fault
		want  float64
	}{{circuits.Fault{}, 2.280}, {open, 5.000}} {
		got := cell(j, at(p), k.fault)
		if math.Abs(got.Value-k.want) > 0.01 || got.From > k.want || got.To < k.want {
			t.Errorf("%s: %s, marked right %s, not %g", k.fault, got.Shown, got.Accepted(), k.want)
		}
	}
}

// TestKeyIsTheSolvers reads every number of the key's table from its text and holds it against evidence.Expect.
func TestKeyIsTheSolvers(t *testing.T) {
	row := regexp.MustCompile(`(?m)^\| (\d+) +\|(.*)\|$`)
	for _, name := range various {
		s := sheetOf(t, name, 1)
		text := strings.ReplaceAll(string(paper.Markdown(Key([]Sheet{s}))), nbsp, " ")
		rows := 0
		for _, m := range row.FindAllStringSubmatch(text, -1) {
			cells := strings.Split(m[2], "|")
			if len(cells) != len(s.Predict.Columns)+1 {
				continue
			}
			p := s.Points[rows]
			rows++
			for i, column := range s.Predict.Columns {
				e := evidence.Expect(s.Job, circuits.Reading{At: circuits.PointLocation(p), To: circuits.BNegative, Quantity: circuits.Volts, State: circuits.State{Key: circuits.KeyOn}}, column.Fault)
				words := strings.Trim(strings.TrimSpace(strings.ReplaceAll(cells[i+1], "\\", "")), "*")
				number, _, _ := strings.Cut(words, " V")
				want := strings.TrimSuffix(Volts(e.Value), nbsp+"V")
				if column.Cells[i].Shown != "floats" && number != want {
					t.Errorf("%s, %s under %s: the key says %q, the solver %s", name, p, column.Fault, words, want)
				}
			}
		}
		if rows != len(s.Points) {
			t.Errorf("%s: %d rows of %d points in the key:\n%s", name, rows, len(s.Points), text)
		}
	}
}

// TestSheetKnowsNoAnswer: a sheet whose answers are taken out gives the same document byte for byte, so none of them is
// in it, and the drawing says numbers and blanks alone.
func TestSheetKnowsNoAnswer(t *testing.T) {
	blank := regexp.MustCompile(`^\d+: _+ V$`)
	for _, name := range various {
		s := sheetOf(t, name, 1)
		whole, err := paper.PDF(Document([]Sheet{s}), paper.A4)
		if err != nil {
			t.Fatal(err)
		}
		empty := s
		p := &Predict{}
		for _, c := range s.Predict.Columns {
			p.Columns = append(p.Columns, Column{Letter: c.Letter, Fault: c.Fault})
		}
		e := &Explain{Complaint: s.Explain.Complaint, Codes: s.Explain.Codes, Readings: s.Explain.Readings, Offered: s.Explain.Offered}
		n := &Next{Taken: s.Next.Taken}
		for _, o := range s.Next.Offered {
			n.Offered = append(n.Offered, Offer{Reading: o.Reading, Minutes: o.Minutes})
		}
		empty.Predict, empty.Explain, empty.Next = p, e, n
		without, err := paper.PDF(Document([]Sheet{empty}), paper.A4)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(whole, without) {
			t.Errorf("%s: answers change the sheet", name)
		}
		for _, m := range s.marks().Tests {
			if !blank.MatchString(m.Measured) || m.Healthy != "" || m.Leading != "" {
				t.Errorf("%s: the drawing says %+v", name, m)
			}
		}
		svg := string(draw.Draw(s.Job.Circuit, s.marks()).SVG())
		for _, c := range s.Predict.Columns {
			for i, k := range c.Cells {
				if strings.Contains(svg, k.Shown) && !strings.Contains(string(draw.Draw(s.Job.Circuit, draw.Marks{}).SVG()), k.Shown) {
					t.Errorf("%s: %s of %s stands in the drawing", name, k.Shown, s.Points[i])
				}
			}
		}
	}
}

// TestPredictTeaches: every fault leaves some points and changes others, and no two do it alike.
func TestPredictTeaches(t *testing.T) {
	for _, name := range []string{"coolant-temperature", "pressure-three-wire", "oil-pressure-switch", "level-sender", "lamp-relay-feed"} {
		for seed := range uint64(2) {
			s := sheetOf(t, name, seed)
			if n := len(s.Predict.Columns); n != namedFaults+1 {
				t.Errorf("%s %d: %d columns", name, seed, n)
			}
			seen := map[string]bool{}
			for _, c := range s.Predict.Columns[1:] {
				pattern := ""
				changed := 0
				for i, k := range c.Cells {
					// A tenth of a volt apart is another reading to somebody who reckons by hand.
					if math.Abs(k.Value-s.Predict.Columns[0].Cells[i].Value) >= 0.1 || k.Shown == "floats" {
						changed++
						pattern += k.Shown
					}
					pattern += "|"
				}
				if changed == 0 || changed == len(c.Cells) || seen[pattern] {
					t.Errorf("%s %d, %s: %d of %d points change, the same pattern before: %v", name, seed, c.Fault, changed, len(c.Cells), seen[pattern])
				}
				seen[pattern] = true
				if len(c.Why) < 2 {
					t.Errorf("%s %d, %s: why is %q", name, seed, c.Fault, c.Why)
				}
			}
		}
	}
}

// TestExplainDecides ranks the readings of the sheet anew: the true fault has nearly all of what the four have together,
// and each other one has a reading against it.
func TestExplainDecides(t *testing.T) {
	for _, name := range various {
		s := sheetOf(t, name, 1)
		e := s.Explain
		j := bare(s.Job)
		j.Codes, j.Readings = e.Codes, e.Readings
		r := rank.Rank(j)
		sum, truth := 0.0, 0.0
		for i, f := range e.Offered {
			c, ok := r.Find(f)
			if !ok {
				t.Fatalf("%s: %s is no fault of the circuit", name, f)
			}
			sum += c.Probability
			if i == e.Answer {
				truth = c.Probability
			} else if len(e.Against[i]) == 0 {
				t.Errorf("%s: nothing speaks against %s", name, f)
			}
		}
		if truth/sum < 0.95 || math.Abs(truth/sum-e.Share) > 1e-9 || e.Offered[e.Answer] != e.Truth.WithoutOhms() {
			t.Errorf("%s: %s has %.3f of the four, the sheet says %.3f", name, e.Offered[e.Answer], truth/sum, e.Share)
		}
		for _, taken := range e.Readings {
			if want, ok := read(s.Job, unread(taken), e.Truth); !ok || want.Value != taken.Value || want.OL != taken.OL {
				t.Errorf("%s: a reading shows %s, the solver %s", name, shown(taken), shown(want))
			}
		}
	}
}

// TestNextIsBest weighs the offered readings anew.
func TestNextIsBest(t *testing.T) {
	for _, name := range various {
		s := sheetOf(t, name, 1)
		x := s.Next
		j := bare(s.Job)
		j.Readings = x.Taken
		r := rank.Rank(j)
		var list []circuits.Reading
		for _, o := range x.Offered {
			list = append(list, o.Reading)
		}
		for i, w := range plan.Weigh(&r, list) {
			o := x.Offered[i]
			if math.Abs(w.GainBits-o.Bits) > 1e-9 || w.Minutes != o.Minutes {
				t.Errorf("%s: %s tells %.3f bits in %g minutes, the sheet says %.3f in %g", name, readingWords(j.Circuit, o.Reading), w.GainBits, w.Minutes, o.Bits, o.Minutes)
			}
			if best := x.Offered[x.Answer]; i != x.Answer && o.PerMinute() > best.PerMinute()/1.25 {
				t.Errorf("%s: offer %d is as good as the answer: %.3f and %.3f bits a minute", name, i, o.PerMinute(), best.PerMinute())
			}
		}
	}
}

// TestNothingBurns: no named fault blows a fuse, for a blown fuse shows other voltages. 12 A through the throttle's fuse
// of 10 A hardly make the battery sag.
func TestNothingBurns(t *testing.T) {
	c, err := library.Circuit("throttle-potentiometer")
	if err != nil {
		t.Fatal(err)
	}
	m := newMaker(Subject{Job: &circuits.Job{Circuit: c, Meter: circuits.DefaultMeter(), Assume: map[string]float64{}}}, 1)
	for name, burns := range map[string]bool{"short-to-ground F7:2>ECM:1 1": true, "short-to-ground F7:2>ECM:1 0": true, "short-to-ground F7:2>ECM:1 3": false, "open F7:2": false} {
		f, err := circuits.ParseFault(name)
		if err != nil {
			t.Fatal(err)
		}
		if m.burns(f.First) != burns {
			t.Errorf("%s burns something: %v, and should be %v", name, !burns, burns)
		}
	}
}

func TestRepeatable(t *testing.T) {
	one := paper.Markdown(Key([]Sheet{newSheet(t, "throttle-potentiometer", 5)}))
	if again := paper.Markdown(Key([]Sheet{newSheet(t, "throttle-potentiometer", 5)})); !bytes.Equal(one, again) {
		t.Error("the same seed gives another key")
	}
	if other := paper.Markdown(Key([]Sheet{sheetOf(t, "throttle-potentiometer", 6)})); bytes.Equal(one, other) {
		t.Error("another seed gives the same key")
	}
}

func TestPyrotechnicRefused(t *testing.T) {
	c, err := library.Circuit("squib")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Make(Subject{Job: &circuits.Job{Circuit: c}}, Options{Kinds(), 1}); !errors.Is(err, ErrPyrotechnic) {
		t.Errorf("a sheet of a squib: %v", err)
	}
}

func TestGolden(t *testing.T) {
	s := []Sheet{sheetOf(t, "throttle-potentiometer", 1)}
	text := strings.ReplaceAll(string(paper.Markdown(Document(s)))+"\n=====\n\n"+string(paper.Markdown(Key(s))), nbsp, " ")
	text = regexp.MustCompile(`\(data:image[^)]*\)|data:image[^)>\s]*`).ReplaceAllString(text, "(picture)")
	const file = "testdata/throttle.md"
	if *update {
		if err := os.WriteFile(file, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if text != string(want) {
		t.Errorf("the sheet differs from %s; look at it and run with -update:\n%s", file, text)
	}
}
