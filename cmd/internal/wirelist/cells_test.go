package wirelist

import (
	"math"
	"strings"
	"testing"
)

func TestHeaders(t *testing.T) {
	for _, c := range []struct {
		headers string
		want    string
	}{
		{"from,from_side,to,to_side,colour,size_mm2,length_m,ohms,name,role", "from from-side to to-side color size length - name role"},
		{"From,Side,To,Side,Colour", "from from-side to to-side color"},
		{"Wire No.,From Conn,From Pin,To Conn,To Pin,Color,Gauge,Length (mm),Signal", "number from from-cavity to to-cavity color size length name"},
		{"Ltg.-Nr.;Von;Kammer;Nach;Kammer;Farbe;Querschnitt mm²;Länge mm;Signalname", "number from from-cavity to to-cavity color size length name"},
		{"Von Stecker;Von Pin;Nach Stecker;Nach Pin;Leitung", "from from-cavity to to-cavity number"},
		{"Connector A;Pin A;Connector B;Pin B;Wire Color;Wire Size;Net Name", "from from-cavity to to-cavity color size name"},
		{"Connector1;Pin1;Connector2;Pin2;CSA", "from from-cavity to to-cavity size"},
		{"FromConnector,FromCavity,ToConnector,ToCavity,WireLength", "from from-cavity to to-cavity length"},
		{"De;Broche;Vers;Broche;Couleur;Section;Longueur", "from from-cavity to to-cavity color size length"},
		{"De;A;Couleur", "from to color"},
		{"Da;A;Colore;Sezione;Lunghezza", "from to color size length"},
		{"Desde;Hasta;Color;Longitud", "from to color length"},
		{"Source,Destination,AWG,Circuit", "from to size number"},
		{"End 1,Cavity,End 2,Cavity", "from from-cavity to to-cavity"},
		{"Terminal Part No,From,To,Seal,Strip length", "- from to - -"},
	} {
		var got []string
		last := 0
		for _, h := range strings.FieldsFunc(c.headers, func(r rune) bool { return r == ',' || r == ';' }) {
			col := columnOf(h, last)
			switch col {
			case From, FromCavity:
				last = 1
			case To, ToCavity:
				last = 2
			}
			if col == "" {
				col = "-"
			}
			got = append(got, string(col))
		}
		if s := strings.Join(got, " "); s != c.want {
			t.Errorf("%s:\n got %s\nwant %s", c.headers, s, c.want)
		}
	}
}

func TestColours(t *testing.T) {
	for cell, want := range map[string]string{
		"GN": "GN", "gn/bk": "GN/BK", "GN-BK": "GN/BK", "BLK/WHT": "BK/WH", "blkwht": "BK/WH", "GNYE": "GN/YE", "black": "BK", "Dark": "?", "red white": "RD/WH",
		"sw": "BK", "br/ws": "BN/WH", "grün": "GN", "weiß": "WH", "rt-ge": "RD/YE", "vi": "VT", "rs": "PK", "noir": "BK", "vert/jaune": "GN/YE", "rosso": "RD", "azul": "BU",
		"gris": "GY", "purple": "VT", "W": "WH doubt", "BL": "BU doubt", "gr": "GY doubt", "G/Y": "GN/YE doubt", "": "?", "a/b/c": "?", "RD/GN/BU": "?", "#": "?", "TQ": "TQ", "tan": "?",
	} {
		code, doubt, ok := colour(cell)
		got := code
		if !ok {
			got = "?"
		} else if doubt != "" {
			got += " doubt"
		}
		if got != want {
			t.Errorf("%q: got %s, want %s (%s)", cell, got, want, doubt)
		}
	}
}

func TestEnds(t *testing.T) {
	for _, c := range []struct {
		place, cavity string
		how           splitting
		want          string
	}{
		{"C7:3", "", splitAny, "C7:3"}, {"-X1:3", "", splitAny, "X1:3"}, {"=A1+B2-X1:3", "", splitAny, "A1-B2-X1:3"}, {"X1-3", "", splitAny, "X1:3"},
		{"X1.3", "", splitAny, "X1:3"}, {"MCU/A4", "", splitAny, "MCU:A4"}, {"C7 (3)", "", splitAny, "C7:3"}, {"C7[3]", "", splitAny, "C7:3"}, {"C7 3", "", splitAny, "C7:3"},
		{"C7 pin 3", "", splitAny, "C7:3"}, {"SP-12", "", splitAny, "SP-12"}, {"GND-1", "", splitAny, "GND-1"}, {"LEFT LAMP", "", splitAny, "LEFT-LAMP"}, {"X1-3", "", splitColon, "X1-3"},
		{"X1-3", "4", splitNever, "X1-3:4"}, {"X1-3", "", splitNever, "X1-3"}, {"B+", "", splitAny, "B+"}, {"Batt+", "", splitAny, "B+"}, {"BAT", "-", splitNever, "B-"}, {"KL.30", "", splitAny, "B+"},
		{"Battery", "POS", splitNever, "B+"}, {"a.b", "1.2", splitNever, "a-b:1.2"}, {"", "1", splitNever, "error"}, {"---", "", splitAny, "error"}, {"ä ö", "é", splitNever, "ä-ö:é"},
	} {
		e, err := readEnd(c.place, c.cavity, "", c.how)
		got := e.String()
		if err != nil {
			got = "error"
		}
		if got != c.want {
			t.Errorf("%q %q: got %s, want %s (%v)", c.place, c.cavity, got, c.want, err)
		}
	}
}

func TestSizesAndLengths(t *testing.T) {
	// AWG 20 is 0.5176 mm² by the diameter formula of ASTM B258 (reference-values 1.1: 0.5176)
	for _, c := range []struct {
		cell string
		awg  bool
		mm2  float64
	}{{"0.5", false, 0.5}, {"0,75", false, 0.75}, {"1.5 mm²", true, 1.5}, {"20", true, 0.5176}, {"AWG20", false, 0.5176}, {"20 AWG", false, 0.5176}, {"2/0", false, 67.43}, {"thick", false, -1},
		{"-1", false, -1}, {"99 AWG", false, -1}, {"5 m", false, -1}, {"NaN", false, -1}, {"1e999", false, -1}} {
		got, _, err := wireSize(c.cell, c.awg)
		if math.Abs(got-c.mm2) > 1e-3*math.Abs(c.mm2) || (err != nil) != (c.mm2 < 0) {
			t.Errorf("%q: %g mm² (%v), want %g", c.cell, got, err, c.mm2)
		}
	}
	for _, c := range []struct {
		cell, unit string
		m          float64
	}{{"1.5", "m", 1.5}, {"1500", "mm", 1.5}, {"1500 mm", "m", 1.5}, {"3 ft", "m", 0.9144}, {"10\"", "m", 0.254}, {"12", "in", 0.3048}, {"1,25", "m", 1.25}, {"x", "m", -1}, {"-1", "m", -1}, {"1e9", "m", -1}} {
		got, err := lengthM(c.cell, c.unit)
		if c.m < 0 {
			if err == nil {
				t.Errorf("%q was taken as %g m", c.cell, got)
			}
		} else if err != nil || math.Abs(got-c.m) > 1e-9 {
			t.Errorf("%q: %g m (%v), want %g", c.cell, got, err, c.m)
		}
	}
}

func TestColumnOptions(t *testing.T) {
	got, err := ParseColumns([]string{"from=Start", "to=3"})
	if err != nil || got[From] != "Start" || got[To] != "3" {
		t.Errorf("got %v, %v", got, err)
	}
	for _, bad := range []string{"from", "von=Start", "to="} {
		if _, err := ParseColumns([]string{bad}); err == nil || !strings.Contains(err.Error(), "from, from-cavity") {
			t.Errorf("%s: %v", bad, err)
		}
	}
}
