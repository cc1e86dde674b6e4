package draft

import (
	"fmt"
	"slices"
	"strings"

	"ohmtrail/circuits"
)

// Where a line may start: a module pin, the battery (through a fuse), or ground.
const (
	atPin     = "pin"
	atBattery = "B+"
	atGround  = "ground"
)

// line is one wire's way from the module, the battery or ground to a terminal of the part.
type line struct {
	word     string   // as --through names it: S1=return
	terminal string   // the part's role of that terminal
	starts   []string // where it may start, the usual one first
	color    string   // the usual one
	asks     string   // what the pin is, for the question
}

// kind is a common part: its lines, and what is worth asking about it.
type kind struct {
	word, says  string
	also        []string // other words for it
	device      circuits.DeviceKind
	name, label string // the usual ones
	lines       []line
	low, high   []line            // of a load, by the side on which the module switches it; then lines is nil
	ohmsAre     string            // what its ohms are, for the question
	usual       map[string]string // the usual answers of the questions that are put for it
}

func signalLine(terminal, asks string) line {
	return line{"signal", terminal, []string{atPin}, "GN", asks}
}

func returnLine(terminal string) line {
	return line{"return", terminal, []string{atPin, atGround}, "BN", "return (or a ground stud, such as G1)"}
}

func supplyLine(color string, starts ...string) line {
	asks := "5 V reference (or B+)"
	if starts[0] == atBattery {
		asks = "feed (B+, or a module pin)"
	}
	return line{"supply", "supply", starts, color, asks}
}

var (
	lowSide = []line{
		{"feed", "a", []string{atBattery, atPin}, "RD", "feed (B+, or a module pin)"},
		{"control", "b", []string{atPin}, "BU", "low-side driver"},
	}
	highSide = []line{
		{"control", "a", []string{atPin}, "BU", "high-side driver"},
		{"ground", "b", []string{atGround, atPin}, "BK", "ground (a stud, or a module pin)"},
	}
)

// kinds are the parts that new knows. Their values are common practice, no source, but for Pt100 (100 Ω at 0 °C, IEC
// 60751), the 4 to 20 mA loop with its 250 Ω (textbook values, reference-values 5) and the two 120 Ω of a CAN bus (ISO
// 11898-2).
var kinds = []kind{
	{word: "thermistor", says: "temperature sensor of two wires, NTC", also: []string{"ntc", "temperature"}, device: circuits.Thermistor,
		name: "TS", label: "temperature sensor", lines: []line{signalLine("a", "signal"), returnLine("b")},
		ohmsAre: "Its ohms at 25 °C", usual: map[string]string{"ohms": "2k", "beta": "3500", "pull": "up 2k2", "codes": "low,high"}},
	{word: "rtd", says: "platinum temperature sensor, Pt100 or another", also: []string{"pt100", "pt1000", "pt200"}, device: circuits.RTD,
		name: "TS", label: "temperature sensor", lines: []line{signalLine("a", "signal"), returnLine("b")},
		ohmsAre: "Its ohms at 0 °C", usual: map[string]string{"ohms": "100", "pull": "up 1k", "codes": "low,high"}},
	{word: "potentiometer", says: "position sensor with a track and a wiper", also: []string{"pot", "pedal", "throttle", "position"}, device: circuits.Potentiometer,
		name: "POS", label: "position sensor", lines: []line{supplyLine("OG", atPin), signalLine("wiper", "signal (wiper)"), returnLine("return")},
		ohmsAre: "Ohms of its track", usual: map[string]string{"ohms": "5k", "pull": "down 220k", "reads": "none", "codes": "low,high"}},
	{word: "ratiometric", says: "pressure or position sensor of three wires, 0.5 to 4.5 V", also: []string{"pressure", "active"}, device: circuits.Ratiometric,
		name: "PS", label: "pressure sensor", lines: []line{supplyLine("OG", atPin), signalLine("output", "signal"), returnLine("return")},
		usual: map[string]string{"pull": "down 470k", "reads": "none", "codes": "low,high"}},
	{word: "switching", says: "speed sensor or proximity switch of three wires, open collector", also: []string{"hall", "speed"}, device: circuits.Switching,
		name: "SPD", label: "speed sensor", lines: []line{supplyLine("RD", atBattery, atPin), signalLine("output", "signal"), returnLine("return")},
		usual: map[string]string{"pull": "up 1k"}},
	{word: "switch", says: "plain switch, to ground or to battery", also: []string{"contact", "button"}, device: circuits.Switch,
		name: "SW", label: "switch", lines: []line{signalLine("a", "signal"), {"common", "b", []string{atGround, atBattery, atPin}, "BK", "other side (a stud such as G1, B+, or the module's return pin)"}},
		usual: map[string]string{"pull": "up 2k2"}},
	{word: "zirconia", says: "oxygen sensor, with its return at ground or raised to 2.5 V", also: []string{"oxygen", "o2", "lambda"}, device: circuits.Zirconia,
		name: "O2S", label: "oxygen sensor", lines: []line{signalLine("signal", "signal"), {"return", "return", []string{atPin}, "GY", "return"}},
		usual: map[string]string{"bias": "ground", "codes": "low,high"}},
	{word: "lamp", says: "lamp", also: []string{"bulb"}, device: circuits.Load, name: "LMP", label: "lamp", low: lowSide, high: highSide,
		ohmsAre: "Its ohms when lit", usual: map[string]string{"side": "high", "ohms": "3"}},
	{word: "heater", says: "heater", also: []string{"glow"}, device: circuits.Load, name: "HTR", label: "heater", low: lowSide, high: highSide,
		ohmsAre: "Its ohms when hot", usual: map[string]string{"side": "low", "ohms": "6"}},
	{word: "coil", says: "valve, injector or relay coil", also: []string{"solenoid", "valve", "relay", "injector"}, device: circuits.Load, name: "SOL", label: "valve coil", low: lowSide, high: highSide,
		ohmsAre: "Its ohms", usual: map[string]string{"side": "low", "ohms": "12"}},
	{word: "current_loop", says: "sensor of two wires, 4 to 20 mA", also: []string{"4-20", "loop", "current-loop"}, device: circuits.CurrentLoop,
		name: "LT", label: "loop transmitter", lines: []line{supplyLine("RD", atBattery, atPin), signalLine("return", "signal (the loop's return into the shunt)")},
		ohmsAre: "Ohms of the module's shunt", usual: map[string]string{"ohms": "250", "reads": "none", "codes": "low,high"}},
	{word: "resistor", says: "fixed resistor, such as a coding resistor", also: []string{"coding"}, device: circuits.Resistor,
		name: "R1", label: "coding resistor", lines: []line{signalLine("a", "signal"), returnLine("b")},
		ohmsAre: "Its ohms", usual: map[string]string{"ohms": "1k", "pull": "up 1k", "codes": "low,high"}},
	{word: "can", says: "CAN pair from a module to the far end, a terminator at each", also: []string{"can-pair", "bus"}, device: circuits.Resistor,
		name: "RT", label: "terminator",
		lines:   []line{{"high", "a", []string{atPin}, "YE", "CAN high"}, {"low", "b", []string{atPin}, "GN", "CAN low"}},
		ohmsAre: "Ohms of each terminator", usual: map[string]string{"ohms": "120", "far": "none"}},
}

// KindWords lists the kinds of part, for help texts and shell completion.
func KindWords() []string {
	var out []string
	for _, k := range kinds {
		out = append(out, k.word)
	}
	return out
}

// kindOf finds a kind by one of its words, or by its number in the list.
func kindOf(word string) (kind, error) {
	w := strings.ToLower(word)
	for i, k := range kinds {
		if w == k.word || slices.Contains(k.also, w) || w == fmt.Sprint(i+1) {
			return k, nil
		}
	}
	return kind{}, fmt.Errorf("no part is called that; there are %s", strings.Join(KindWords(), ", "))
}
