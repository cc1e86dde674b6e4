package draft

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ohmtrail/circuits/read"
)

var update = flag.Bool("update", false, "rewrite the golden files in testdata")

// options reads "name=answer name=answer" with quotes, as --also does.
func options(t *testing.T, text string, also ...string) Options {
	t.Helper()
	o := Options{Answers: map[string]string{}, Also: also}
	for _, f := range splitQuoted(text) {
		name, answer, _ := strings.Cut(f, "=")
		o.Answers[name] = answer
	}
	return o
}

// draftQuiet drafts by options and requires a circuit file without any problem.
func draftQuiet(t *testing.T, o Options) string {
	t.Helper()
	var out bytes.Buffer
	problems, err := New(strings.NewReader(""), &bytes.Buffer{}, &out, o)
	if err != nil {
		t.Fatalf("%v: %v", o.Answers, err)
	}
	if len(problems) > 0 {
		t.Errorf("%v %q:\n%v\n%s", o.Answers, o.Also, problems, out.String())
	}
	return out.String()
}

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

func TestDraftsOfOptions(t *testing.T) {
	for _, c := range []struct {
		name string
		o    Options
	}{
		{"thermistor", options(t, `part=thermistor module=ECU pins=A1,A2 through=C7,S2 colors=GN/BK,BN title="Oil temperature" name=MOT label="oil temperature sensor" length=2.4,0.6,0.3`)},
		{"rtd", options(t, `part=pt100 codes=none`)},
		{"potentiometer", options(t, `part=pedal reads="0 100 %" pull="up 47k"`)},
		{"ratiometric", options(t, `part=pressure reads="0 250 bar" through=S1=supply,C7:4+5+6,S2 power=B1 ground=B2`)},
		{"hall-24v", options(t, `part=hall volts=24 power=B1 ground=B2 fuse=F12:5`)},
		{"hall-on-reference", options(t, `part=switching pins=A1,A2,A3`)},
		{"switch-to-ground", options(t, `part=switch`)},
		{"switch-to-battery", options(t, `part=switch pins=A1,B+ through=C7 volts=24`)},
		{"switch-on-return", options(t, `part=switch pins=A1,A2`)},
		{"zirconia-ground", options(t, `part=oxygen bias=ground`)},
		{"zirconia-raised", options(t, `part=oxygen bias=raised`)},
		{"lamp-high-side", options(t, `part=lamp through=C4`)},
		{"coil-low-side", options(t, `part=coil through=C4 ohms=8R2`)},
		{"current-loop", options(t, `part=4-20 volts=24 reads="0 16 bar"`)},
		{"resistor", options(t, `part=resistor ohms=4k7`)},
		{"can", options(t, `part=can through=C20`)},
		{"can-two-modules", options(t, `part=can through=C20 far=DSP:5+6+1+2 power=B1 ground=B2`)},
		{"three-sensors", options(t, `part=ratiometric name=MHS label="mast height sensor" module=MCU pins=A1,A2,A3 through=S1=supply,C7,S2=return colors=OG,GN,BN reads="0 5400 mm" power=B1 ground=B2 volts=24 title="Mast sensors"`,
			`part=potentiometer name=TLT label="mast tilt sensor" pins=A1,A5,A3 through=S1=supply,C7,S2=return`,
			`part=thermistor name=MOT label="oil temperature" pins=A4,A3 through=C7,S2=return colors=VT,BN`)},
	} {
		t.Run(c.name, func(t *testing.T) { golden(t, c.name+".circuit.toml", draftQuiet(t, c.o)) })
	}
}

// Every kind, on either side and with every shape of way, gives a file that the check has nothing to say about.
func TestEveryKindIsQuiet(t *testing.T) {
	ways := []string{"none", "C7", "C7,C8", "C7:11+12+13", "S2", "C7,S2", "S2,C7,S3", "SPL-A,C7"}
	for _, k := range kinds {
		for _, way := range ways {
			for _, battery := range []string{"12", "24", "48"} {
				for _, own := range []string{"", " power=B1 ground=B2", " power=B1", " ground=Z9"} {
					for _, side := range []string{"low", "high"} {
						text := "part=" + k.word + " volts=" + battery + own
						w := way
						if k.low != nil {
							text += " side=" + side
						} else if side == "high" {
							continue
						}
						if len(k.lines) != 3 {
							w = strings.Replace(w, ":11+12+13", ":11+12", 1)
						}
						draftQuiet(t, options(t, text+" through="+w))
					}
				}
			}
		}
	}
}

// A part far from its pull resistor still gets limits that the input can reach.
func TestLimitsStayWithinTheInput(t *testing.T) {
	draftQuiet(t, options(t, `part=resistor ohms=1M pull="up 1k"`))
	draftQuiet(t, options(t, `part=resistor ohms=0R1 pull="up 100k"`))
}

func TestWritesWhatWasAnswered(t *testing.T) {
	text := draftQuiet(t, options(t, `part=ntc name=MOT module=MCU pins=A4,A3 at=A,B through=C7:5+6,S2 colors=vt/wh,bn size=0,75 length=2.4,0.6,0.3 ohms=10k beta=3435 pull="up 4k7" codes=HOT,COLD`))
	c, _ := read.Circuit("x", []byte(text))
	var wires []string
	for _, w := range c.Wires {
		wires = append(wires, strings.Join([]string{w.Location.String(), w.Color}, " "))
		if w.SizeMM2 != 0.75 {
			t.Errorf("%s has %g mm²", w.Location, w.SizeMM2)
		}
	}
	want := "MCU:A4>C7:5 VT/WH, C7:5>MOT:A VT/WH, MCU:A3>C7:6 BN, C7:6>S2 BN, S2>MOT:B BN"
	if got := strings.Join(wires, ", "); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	// the signal skips S2: its second wire is as long as both legs behind C7 together
	for i, length := range []float64{2.4, 0.9, 2.4, 0.6, 0.3} {
		if c.Wires[i].LengthM != length {
			t.Errorf("%s is %g m long, want %g", c.Wires[i].Location, c.Wires[i].LengthM, length)
		}
	}
	d := c.Device("MOT")
	if d.Ohms25 != 10e3 || d.Beta != 3435 {
		t.Errorf("the thermistor is %+v", d)
	}
	// limits: half-way to the rails from 4k7 pulled up against R(110 °C) and R(-20 °C) of the Beta law.
	// R(110) = 10000·exp(3435·(1/383.15 − 1/298.15)) = 776.6 Ω -> 5·776.6/5476.6 = 0.709 V, half 0.355 V
	// R(-20) = 10000·exp(3435·(1/253.15 − 1/298.15)) = 77 567 Ω -> 5·77567/82267 = 4.714 V, half-way to 5 V 4.857 V
	pin := c.Module("MCU").Pins[1]
	if pin.Cavity != "A4" || pin.Below.Volts != 0.35 || pin.Above.Volts != 4.86 || pin.Below.Code != "HOT" || pin.Above.Code != "COLD" {
		t.Errorf("limits %+v %+v of %s", pin.Below, pin.Above, pin.Cavity)
	}
}

func TestBadOptionsSayWhatToDo(t *testing.T) {
	for _, c := range []struct{ text, also, want string }{
		{"part=thermometer", "", `--part "thermometer": no part is called that; there are thermistor, rtd`},
		{"part=thermistor pins=A1", "", "2 are needed, one pin each for signal, return; here are 1"},
		{"part=thermistor pins=A1,A1", "", "pin A1 stands twice"},
		{"part=thermistor pins=B+,A1", "", "the signal of a thermistor cannot start at B+"},
		{"part=thermistor pins=A:1,A2", "", `"A:1" cannot be a cavity`},
		{"part=thermistor colors=GN,LB", "", `"LB" is no colour of IEC 60757: write BK BN`},
		{"part=thermistor name=B+", "", `"B+" cannot be a name`},
		{"part=thermistor name=ECU", "", "ECU is a name that the part needs"},
		{"part=thermistor through=S2=supply", "", `no line is called "supply"; there are signal, return`},
		{"part=thermistor through=C7,C7", "", "C7 stands twice on the way"},
		{"part=thermistor through=TS", "", "TS is a name that TS needs itself"},
		{"part=thermistor through=C7:1", "", "C7 has 1 cavities for 2 lines that cross it (signal, return)"},
		{"part=thermistor through=C7:1+1", "", "cavity 1 of C7 is taken already"},
		{"part=thermistor through=C7 length=1,2,3", "", "2 lengths are needed, or one for each leg; here are 3"},
		{"part=thermistor length=900", "", "900 m of wire is more than a machine's harness has"},
		{"part=thermistor size=50mm", "", `"50mm" is no number above zero`},
		{"part=thermistor ohms=lots", "", `"lots" is not a resistance`},
		{"part=thermistor pull=none", "", "a thermistor wired so needs a pull-up"},
		{"part=switch pins=A1,B+ pull=\"up 2k2\"", "", "a switch wired so needs a pull-down"},
		{"part=thermistor pull=2k2", "", `write "up 2k2", "down 220k" or "none"`},
		{"part=thermistor codes=P0117", "", "two codes are needed"},
		{"part=thermistor side=low", "", "--side means nothing for this thermistor"},
		{"part=thermistor volts=400", "", "400 V is no battery for this"},
		{"part=thermistor power=A1", "", "A1 is the signal of TS"},
		{"part=thermistor power=B1 ground=B1", "", "B1 is the power pin"},
		{"part=thermistor module-fuse=F1:3", "", "--module-fuse means nothing for a module without a power pin"},
		{"part=coil side=left", "", `"left" is neither low nor high`},
		{"part=coil fuse=F1:9999", "", "no harness has a fuse of 9999 A"},
		{"part=can far=DSP", "", "write the module and its pins"},
		{"part=can far=DSP:1+2 power=B1", "", "DSP at the far end needs its power and ground pins too"},
		{"part=can far=ECU:1+2", "", "ECU is the name of something else"},
		{"part=thermistor reads=1", "", "--reads means nothing for this thermistor"},
		{"part=ratiometric reads=1", "", `write the value at the lowest and at the highest output`},
		{"part=thermistor nonsense=1", "", `no question is called "nonsense"; there are part, name`},
		{"part=thermistor", "part=rtd pins=A5,A2", "ECU:A2 goes to TS already, and one cavity takes one wire: name the splice"},
		{"part=thermistor", "part=rtd pins=A2,A3", "ECU:A2 is the return of TS already, so it cannot be the signal of TS2"},
		{"part=thermistor through=S2", "part=rtd pins=A5,A6 through=S2", "the splice S2 is in the line from ECU:A2 already"},
		{"part=thermistor through=S2", "part=rtd pins=A5,A2 through=C7:1+2,S2", "C7 has 2 cavities for 1 lines that cross it (signal)"},
		{"part=zirconia bias=raised through=S2", "part=rtd pins=A5,A2 through=S2", "ECU:A2 is the return of O2S already"},
		{"part=thermistor through=C7", "part=rtd name=C7", "C7 is the name of an in-line connector already"},
		{"part=thermistor", "part=rtd volts=24", "volts concerns the whole circuit; give it as --volts"},
		{"part=thermistor", "rtd", `"rtd" is no NAME=ANSWER`},
		{"part=thermistor through=C7,S2", "part=rtd pins=A5,A2 through=S2,C7", "it has S2 and TS2 on different sides of C7"},
	} {
		var out bytes.Buffer
		o := options(t, c.text)
		if c.also != "" {
			o.Also = []string{c.also}
		}
		_, err := New(strings.NewReader(""), &bytes.Buffer{}, &out, o)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s + %s:\n got %v\nwant %s", c.text, c.also, err, c.want)
		}
		if out.Len() > 0 {
			t.Errorf("%s: something was written beside the error", c.text)
		}
	}
}
