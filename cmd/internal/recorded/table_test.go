package recorded

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"
	"testing/iotest"
)

// Exports as instruments write them, each with the same four rows: 0, 0.1, 0.2 and 0.3 s; 4.98, 4.97, 1.92 and 4.98 V. They are our
// own inventions after the habits of such files.
var exports = map[string]string{
	"plain":                      "t,V\n0,4.98\n0.1,4.97\n0.2,1.92\n0.3,4.98\n",
	"no head":                    "0,4.98\n0.1,4.97\n0.2,1.92\n0.3,4.98\n",
	"semicolon, decimal comma":   "Zeit (s);Spannung (V)\n0,0;4,98\n0,1;4,97\n0,2;1,92\n0,3;4,98\n",
	"tab, millivolts, CRLF, BOM": "\ufeffTime (ms)\tVoltage (mV)\r\n0\t4980\r\n100\t4970\r\n200\t1920\r\n300\t4980\r\n",
	"quoted":                     "\"Time\",\"Height, raw [V]\"\n\"0\",\"4.98\"\n\"0.1\",\"4.97\"\n\"0.2\",\"1.92\"\n\"0.3\",\"4.98\"\n",
	"quoted decimal commas":      "\"t/s\",\"U/V\"\n\"0,0\",\"4,98\"\n\"0,1\",\"4,97\"\n\"0,2\",\"1,92\"\n\"0,3\",\"4,98\"\n",
	"scope": "Model,S-4\r\nRecord Length,4\r\nSample Interval,0.1\r\n\r\nTime,CH1,CH2\r\ns,V,V\r\n0.000E+00,4.98E+00,1.0E-02\r\n1.000E-01,4.97E+00,1.0E-02\r\n" +
		"2.000E-01,1.92E+00,1.0E-02\r\n3.000E-01,4.98E+00,1.0E-02\r\n",
	"trailing separators":      "Time;Value;\n0;4.98;\n0.1;4.97;\n0.2;1.92;\n0.3;4.98;\n",
	"clock":                    "Date,Time,Value,Unit\n2026-03-01,23:59:59.8,4.98,V\n2026-03-01,23:59:59.9,4.97,V\n2026-03-02,00:00:00.0,1.92,V\n2026-03-02,00:00:00.1,4.98,V\n",
	"calendar":                 "Timestamp,Volts\n2026-02-28T23:59:59.900Z,4.98\n2026-03-01T00:00:00.000Z,4.97\n2026-03-01T00:00:00.100Z,1.92\n2026-03-01T00:00:00.200Z,4.98\n",
	"day first":                "Zeit;Wert\n28.02.2026 23:59:59,9;4,98\n01.03.2026 00:00:00,0;4,97\n01.03.2026 00:00:00,1;1,92\n01.03.2026 00:00:00,2;4,98\n",
	"since 1970, milliseconds": "ts,V\n1767225600000,4.98\n1767225600100,4.97\n1767225600200,1.92\n1767225600300,4.98\n",
	"units in the cells":       "Elapsed,Reading\n0 ms,4.98 V\n100 ms,4970 mV\n200 ms,1.92V\n300 ms,4.98 V\n",
	"afternoon":                "Time,Value\n11:59:59.9 AM,4.98\n12:00:00.0 PM,4.97\n12:00:00.1 PM,1.92\n12:00:00.2 PM,4.98\n",
	"Latin-1":                  "Zeit (\xb5s);Spannung (V)\n0;4,98\n100000;4,97\n200000;1,92\n300000;4,98\n",
	"junk between":             "Time (s),Value (V)\n0,4.98\n0.1,4.97\n--- paused ---\n0.2,1.92\n\n0.3,4.98\nend of log\n",
}

func TestExports(t *testing.T) {
	for name, text := range exports {
		s, err := Open("a.csv", strings.NewReader(text))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		got, _, err := readAll(s)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if want := "0:4.98 0.1:4.97 0.2:1.92 0.3:4.98"; got != want {
			t.Errorf("%s: %s, want %s (columns %+v)", name, got, want, s.Columns)
		}
	}
}

// TestUTF16 reads what a spreadsheet calls Unicode text.
func TestUTF16(t *testing.T) {
	text := "\xff\xfe"
	for _, r := range exports["tab, millivolts, CRLF, BOM"][3:] {
		text += string([]byte{byte(r), 0})
	}
	s, err := Open("a.csv", strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	if got, _, err := readAll(s); got != "0:4.98 0.1:4.97 0.2:1.92 0.3:4.98" || err != nil {
		t.Errorf("%s, %v", got, err)
	}
}

// readAll reads the time and the first column of values.
func readAll(s *Table) (string, Tally, error) {
	at, _ := s.Time()
	var values []Column
	for _, c := range s.Numeric(at) {
		if c.Name != "Date" {
			values = append(values, c)
			break
		}
	}
	var out []string
	tally, err := s.Read(Plan{Time: at, Values: values}, func(r *Row) error {
		v := math.NaN()
		if len(r.Values) > 0 {
			v = r.Values[0]
		}
		if len(r.Over) > 0 && r.Over[0] {
			v = math.Inf(1)
		}
		out = append(out, fmt.Sprintf("%.4g:%.5g", math.Round(r.Time*1e4)/1e4, v))
		return nil
	})
	return strings.Join(out, " "), tally, err
}

// TestOddities: what is wrong in a table is left out, counted, and told with its line.
func TestOddities(t *testing.T) {
	s, err := Open("a.csv", strings.NewReader("t (s),V\n0,1\n0.1,OL\n0.2,\n0.3,abc\n0.3,2\nnonsense\n0.4,3\n0.35,4\n0.5,5\n0,6\n0.1,7\n0.2,--\n"))
	if err != nil {
		t.Fatal(err)
	}
	got, tally, err := readAll(s)
	if err != nil {
		t.Fatal(err)
	}
	// The clock begins anew at 0: counted on by the latest step, 0.1 s.
	if want := "0:1 0.1:+Inf 0.2:NaN 0.3:NaN 0.3:2 0.4:3 0.4:4 0.5:5 0.6:6 0.7:7 0.8:NaN"; got != want {
		t.Errorf("%s\nwant %s", got, want)
	}
	for name, o := range map[string]struct {
		got   Oddity
		count int
		line  int
		text  string
	}{"skipped": {tally.Skipped, 1, 7, "nonsense"}, "words": {tally.Words, 1, 5, "abc"}, "resets": {tally.Resets, 1, 11, "0"}, "disorder": {tally.Disorder, 1, 9, "0.35"}} {
		if o.got != (Oddity{o.count, o.line, o.text}) {
			t.Errorf("%s: %+v", name, o.got)
		}
	}
	if tally.Repeats != 1 || tally.Rows != 11 || tally.Empty != 2 {
		t.Errorf("%+v", tally)
	}
}

// TestRefused: what is no recording is refused with its name, its line where it has one, and what to do.
func TestRefused(t *testing.T) {
	for name, c := range map[string]struct{ text, says string }{
		"empty":         {"", "a.csv: the file is empty"},
		"words":         {"this is\nno table\n", "a.csv: no row with a time and a value in its first 2 lines; export it as a table of text with commas, semicolons or tabs"},
		"one long line": {"t,V\n0,1\n1,2\n" + strings.Repeat("9", lineMost+5), "a.csv:4: a line of more than 1048576 bytes; this is no table of text"},
	} {
		s, err := Open("a.csv", strings.NewReader(c.text))
		if err == nil {
			_, _, err = readAll(s)
		}
		if err == nil || err.Error() != c.says {
			t.Errorf("%s: %v, want %s", name, err, c.says)
		}
	}
}

// TestDays: dates count the days between, the leap day too, and without a date a clock that begins again is the next day.
func TestDays(t *testing.T) {
	for text, want := range map[string]float64{
		"2028-02-28 12:00:00,1\n2028-03-01 12:00:01,1\n": 2*86400 + 1,
		"31.12.2026 23:59:59;1\n01.01.2027 00:00:01;1\n": 2,
		"23:59:58,1\n00:00:03,1\n":                       5,
	} {
		s, err := Open("a.csv", strings.NewReader("Time,V\n"+strings.ReplaceAll(text, ";", ",")))
		if err != nil {
			t.Fatal(err)
		}
		if _, tally, err := readAll(s); err != nil || tally.LastTime != want {
			t.Errorf("%q ends at %g, want %g (%v)", text, tally.LastTime, want, err)
		}
	}
}

func TestFind(t *testing.T) {
	s, err := Open("a.csv", strings.NewReader("Time (s),Mast height (V),Oil (V)\n0,1,2\n1,1,2\n"))
	if err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]int{"Mast height": 2, "mast height (v)": 2, "3": 3, "oil": 3} {
		if c, err := s.Find(name); err != nil || c.Index != want {
			t.Errorf("%s: %+v, %v", name, c, err)
		}
	}
	for name, says := range map[string]string{
		"Mast hight": `a.csv: no column is called "Mast hight"; did you mean "Mast height"?`,
		"9":          `a.csv: no column is called "9"; the columns are Time (s), Mast height (V), Oil (V)`,
	} {
		if _, err := s.Find(name); err == nil || err.Error() != says {
			t.Errorf("%s: %v", name, err)
		}
	}
	if c, ok := s.Time(); !ok || c.Index != 1 {
		t.Errorf("time %+v", c)
	}
	if step := s.Step(s.Columns[1]); step != 1 {
		t.Errorf("step %g", step)
	}
}

// TestFindTakesTheVeryName: of two heads that differ in capitals only, the one that is written so.
func TestFindTakesTheVeryName(t *testing.T) {
	s, err := Open("a.csv", strings.NewReader("t (s),T (V)\n0,1\n1,1\n"))
	if err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]int{"t": 1, "T": 2} {
		if c, err := s.Find(name); err != nil || c.Index != want {
			t.Errorf("%s: %+v, %v", name, c, err)
		}
	}
}

// TestNumberAsTheStandardLibrary: the quick way gives the very value that strconv gives.
func TestNumberAsTheStandardLibrary(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	for range 200_000 {
		text := strconv.FormatFloat((r.Float64()-0.5)*math.Pow(10, float64(r.IntN(12)-4)), 'f', r.IntN(12), 64)
		want, err := strconv.ParseFloat(text, 64)
		if err != nil {
			t.Fatal(err)
		}
		if got, ok := number([]byte(text), '.'); !ok || got != want {
			t.Fatalf("%s is %v, %v, want %v", text, got, ok, want)
		}
		if got, ok := number([]byte(strings.Replace(text, ".", ",", 1)), ','); !ok || got != want {
			t.Fatalf("%s with a comma is %v, %v", text, got, ok)
		}
	}
	for text, want := range map[string]float64{"1e3": 1000, "-1.5E-2": -0.015, "1.234,5": 1234.5, "+7": 7} {
		if got, ok := number([]byte(text), ','); !ok || got != want {
			t.Errorf("%s is %v, %v", text, got, ok)
		}
	}
	for _, text := range []string{"", "-", ".", "abc", "0x10", "inf", "nan", "1 2", "1,2,3", strings.Repeat("1", 100)} {
		if got, ok := number([]byte(text), '.'); ok {
			t.Errorf("%q is %v", text, got)
		}
	}
}

func TestUnits(t *testing.T) {
	for text, want := range map[string]struct {
		name    string
		measure Measure
		scale   float64
	}{
		"Voltage (mV)": {"Voltage", Volts, 1e-3}, "t/s": {"t", Seconds, 1}, "CH1 [V]": {"CH1", Volts, 1}, "U in V": {"U", Volts, 1}, "ms": {"ms", Seconds, 1e-3},
		"R (kΩ)": {"R", Ohms, 1e3}, "R (MOhm)": {"R", Ohms, 1e6}, "I (µA)": {"I", Amps, 1e-6}, "Oil (°C)": {"Oil", Other, 0}, "Time_ms": {"Time", Seconds, 1e-3}, "Height": {"Height", Other, 0},
	} {
		if name, u := headOf(text); name != want.name || u.Measure != want.measure || u.Scale != want.scale {
			t.Errorf("%s: %q in %+v", text, name, u)
		}
	}
}

func TestMovements(t *testing.T) {
	for name, text := range map[string]string{
		"no head": "12.5,18,C7\n30,36,MHS\n", "headed, other order": "place;from;to\nC7;12.5;18\nMHS;30;36\n", "tabs": "from (s)\tto (s)\tplace\n12.5\t18\tC7\n\n30\t36\tMHS\n",
	} {
		got, err := Movements("m.csv", strings.NewReader(text))
		if err != nil || len(got) != 2 || got[0].From != "12.5" || got[0].To != "18" || got[0].Place != "C7" || got[1].Place != "MHS" {
			t.Errorf("%s: %+v, %v", name, got, err)
		}
	}
	if _, err := Movements("m.csv", strings.NewReader("1,2,C7\n1;2\n")); err == nil || err.Error() != "m.csv:2: a movement needs from, to and place; write 12.5,18,C7" {
		t.Errorf("%v", err)
	}
}

// FuzzOpen: whatever the bytes, it ends, times never fall, and each row has its values.
func FuzzOpen(f *testing.F) {
	for _, text := range exports {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		s, err := Open("a.csv", bytes.NewReader(data))
		if err != nil {
			return
		}
		at, ok := s.Time()
		p := Plan{Time: at, Values: s.Numeric(at)}
		if !ok {
			p.Interval = 0.1
		}
		last := math.Inf(-1)
		_, _ = s.Read(p, func(r *Row) error { // an error is an answer too
			if r.Time < last || math.IsNaN(r.Time) || len(r.Values) != len(p.Values) {
				t.Fatalf("row %+v after %g", r, last)
			}
			last = r.Time
			return nil
		})
		_, _ = Movements("a.csv", bytes.NewReader(data))
	})
}

// TestLiveIsTheSame: read line by line a table gives the same rows.
func TestLiveIsTheSame(t *testing.T) {
	for name, text := range exports {
		s, err := OpenLive("a.csv", iotest.OneByteReader(strings.NewReader(text)))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if got, _, err := readAll(s); err != nil || got != "0:4.98 0.1:4.97 0.2:1.92 0.3:4.98" {
			t.Errorf("%s: %s, %v (%+v)", name, got, err, s.Columns)
		}
	}
}
