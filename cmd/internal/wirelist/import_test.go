package wirelist

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf16"

	"ohmtrail/circuits/library"
	"ohmtrail/circuits/read"
)

var update = flag.Bool("update", false, "rewrite the golden files in testdata")

func golden(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s differs; got:\n%s", file, got)
	}
}

func TestImportsOfLists(t *testing.T) {
	for _, c := range []struct {
		file string
		o    ImportOptions
	}{
		{"stacker.csv", ImportOptions{Title: "Mast harness, stacker 4"}},
		{"steuerung.csv", ImportOptions{}},
		{"plain.tsv", ImportOptions{}},
		{"trouble.csv", ImportOptions{}},
		{"columns.csv", ImportOptions{Modules: []string{"ECU"}, Columns: map[Column]string{From: "start", To: "2", Color: "Litze", Name: "Kennung"}}},
	} {
		t.Run(c.file, func(t *testing.T) {
			text, err := os.ReadFile(filepath.Join("testdata", c.file))
			if err != nil {
				t.Fatal(err)
			}
			c.o.File = c.file
			s, err := Import(bytes.NewReader(text), c.o)
			if err != nil {
				t.Fatal(err)
			}
			out, told := bytes.NewBuffer(s.Text), &bytes.Buffer{}
			for _, p := range s.Problems {
				fmt.Fprintln(told, p.Error())
			}
			_, problems := read.Circuit(c.file, out.Bytes())
			if len(problems.Errors()) > 0 {
				t.Error(problems)
			}
			stem := strings.TrimSuffix(c.file, filepath.Ext(c.file))
			golden(t, stem+".circuit.toml", out.String())
			golden(t, stem+".told.txt", told.String()+"--- check\n"+problems.Error()+"\n")
		})
	}
}

// stacker is the list that the encodings and separators are tried on.
func stacker(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile("testdata/stacker.csv")
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

func importText(t *testing.T, text []byte) string {
	t.Helper()
	s, err := Import(bytes.NewReader(text), ImportOptions{File: "x.csv"})
	if err != nil {
		t.Error(err)
	}
	for _, p := range s.Problems {
		t.Error(p)
	}
	return string(s.Text)
}

// The same list in the encodings and with the separators that spreadsheets write.
func TestEncodingsAndSeparators(t *testing.T) {
	list := strings.ReplaceAll(stacker(t), "MCU", "MCÜ") // a letter beyond ASCII
	plain := strings.ReplaceAll(list, "MCÜ,", "MCÜ_ECU,")
	want := importText(t, []byte(plain))
	utf := func(order func(uint16) []byte, mark []byte) []byte {
		out := mark
		for _, u := range utf16.Encode([]rune(plain)) {
			out = append(out, order(u)...)
		}
		return out
	}
	for name, text := range map[string][]byte{
		"UTF-8 with a mark": []byte("\ufeff" + plain),
		"UTF-16LE":          utf(func(u uint16) []byte { return []byte{byte(u), byte(u >> 8)} }, []byte{0xff, 0xfe}),
		"UTF-16BE":          utf(func(u uint16) []byte { return []byte{byte(u >> 8), byte(u)} }, []byte{0xfe, 0xff}),
		"Windows-1252":      []byte(strings.ReplaceAll(plain, "Ü", "\xdc")),
		"semicolon":         []byte(strings.ReplaceAll(plain, ",", ";")),
		"tab":               []byte(strings.ReplaceAll(plain, ",", "\t")),
		"bar":               []byte(strings.ReplaceAll(plain, ",", "|")),
		"CR LF":             []byte(strings.ReplaceAll(plain, "\n", "\r\n")),
	} {
		t.Run(name, func(t *testing.T) {
			if got := importText(t, text); got != want {
				t.Errorf("got:\n%s", got)
			}
		})
	}
}

func TestNothingToImport(t *testing.T) {
	for _, c := range []struct {
		text string
		o    ImportOptions
		want string
	}{
		{"", ImportOptions{File: "a.csv"}, "a.csv: no row names a column for both ends of a wire (from, to); it is empty; name them with --column from=HEADER"},
		{"apples,pears\n1,2\n", ImportOptions{File: "a.csv"}, "its first row is apples | pears"},
		{"from,to\n", ImportOptions{File: "a.csv"}, "a.csv: no row could be placed"},
		{"from,to\nX:1,\n", ImportOptions{File: "a.csv"}, "a.csv:2: no wire: one end is empty"},
		{"from,to\nX:1,Y:1\n", ImportOptions{File: "a.csv", Columns: map[Column]string{To: "Ende"}}, "no row names a column"},
		{strings.Repeat("x", maxBytes+1), ImportOptions{File: "a.csv"}, "longer than 16 MB"},
	} {
		_, err := Import(strings.NewReader(c.text), c.o)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%.20q: got %v, want %s", c.text, err, c.want)
		}
	}
	if _, err := Import(failingReader{}, ImportOptions{File: "a.csv"}); !errors.Is(err, errDisk) {
		t.Errorf("got %v", err)
	}
}

var errDisk = errors.New("disk is gone")

type failingReader struct{}

func (failingReader) Read([]byte) (int, error)  { return 0, errDisk }
func (failingReader) Write([]byte) (int, error) { return 0, errDisk }

func TestWriteErrorsAreReported(t *testing.T) {
	c, err := library.Circuit(library.Names()[0])
	if err != nil {
		t.Fatal(err)
	}
	if err := Wires(failingReader{}, c, ExportOptions{}); !errors.Is(err, errDisk) {
		t.Errorf("got %v", err)
	}
	if err := TestPoints(failingReader{}, c, ExportOptions{}); !errors.Is(err, errDisk) {
		t.Errorf("got %v", err)
	}
}

// What the user says of a name goes before what it looks like.
func TestNamesThatTheUserKnows(t *testing.T) {
	list := "from,to\nBOX:1,A7:1\nA7:1,LINK:1\nLINK:1,Q3:1\nQ3:2,BLK9\nQ3:1,PE\n"
	s, err := Import(strings.NewReader(list), ImportOptions{File: "x", Modules: []string{"BOX"}, Connectors: []string{"A7", "LINK"}, Devices: []string{"Q3"}, Splices: []string{"BLK9"}, Grounds: []string{"PE"}})
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"[module.BOX]", "[connector.A7]", "[connector.LINK]", "[device.Q3]", "[splice.BLK9]", "[ground.PE]", `path = ["BOX:1", "A7:1", "LINK:1", "Q3:1"]`} {
		if !strings.Contains(string(s.Text), want) {
			t.Errorf("%s is missing:\n%s", want, s.Text)
		}
	}
}

// 20 000 wires through connectors: a whole machine many times over.
func TestLongListIsReadInSeconds(t *testing.T) {
	var b strings.Builder
	b.WriteString("from,to,colour,size_mm2,length_m\n")
	for i := range 10000 {
		b.WriteString("ECU" + num(i/100) + ":" + num(i) + ",C" + num(i/50) + ":" + num(i) + ",RD,0.5,1\n")
		b.WriteString("C" + num(i/50) + ":" + num(i) + ",DEV" + num(i) + ":1,RD,0.5,1\n")
	}
	l, err := readList(strings.NewReader(b.String()), ImportOptions{File: "long"})
	if err != nil || len(l.wires) != 20000 {
		t.Fatal(err, len(l.wires))
	}
	found, _ := l.places(ImportOptions{})
	l.settle(found)
	mates := l.mates(found)
	chains := l.orient(cutAtColours(l.wires, l.chains(mates)), found, mates)
	if len(chains) != 10000 || len(l.problems) > 0 {
		t.Errorf("%d chains, %v", len(chains), l.problems)
	}
}

func num(i int) string { return strings.TrimSpace(ExportOptions{}.number(float64(i))) }

// Whatever stands in a list, the import neither panics nor makes a file that does not parse.
func FuzzImport(f *testing.F) {
	for _, file := range []string{"stacker.csv", "steuerung.csv", "plain.tsv", "trouble.csv"} {
		text, err := os.ReadFile(filepath.Join("testdata", file))
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(text))
	}
	f.Add("from,to\nC1:1,C1:2\nC1:2,C1:1\nC1:1,S1\nS1,S1\n")
	f.Add("from,side,to,side\nC1:1,a,C2:1,b\nC2:1,a,C1:1,b\n")
	f.Add("from,to\nB+,B-\nB-,B+\nX,Y\nK1:30,K1:87a\nK1:87,K1:86\n")
	f.Fuzz(func(t *testing.T, text string) {
		_, err := Import(strings.NewReader(text), ImportOptions{File: "fuzz"})
		if err != nil && strings.Contains(err.Error(), "does not parse") {
			t.Error(err)
		}
	})
}
