package recorded

import (
	"fmt"
	"math"
	"strings"
	"testing"
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
func readAll(s *Sheet) (string, Tally, error) {
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
