package network

import (
	"fmt"
	"testing"
)

// Sensors whose makers or neighbours print what a pin must show, each through a whole circuit: module, harness, part.

// fullBits is the finest converter of the contract: its step of 5 V/2²⁴ is far below any digit printed.
const fullBits = 24

// The 20 pin voltages of a common 2.5 kΩ coolant sensor on a 1 kΩ pull-up to 5 V, printed beside its resistances in the help
// of an engine-management program (frozen-cherry.info/Help_File_ENG/temperature_sensor_calibration.htm, first row).
func TestPublishedThermistorVoltages(t *testing.T) {
	rows := []struct{ celsius, ohms, volts float64 }{
		{-40, 45313, 4.892}, {-30, 26114, 4.816}, {-20, 15462, 4.696}, {-10, 9397, 4.519}, {0, 5896, 4.275}, {10, 3792, 3.957},
		{20, 2500, 3.571}, {30, 1707, 3.153}, {40, 1175, 2.701}, {50, 834, 2.274}, {60, 596, 1.867}, {70, 436, 1.518},
		{80, 323, 1.221}, {90, 243, 0.977}, {100, 187, 0.788}, {110, 144, 0.629}, {120, 113, 0.508}, {130, 89, 0.409},
		{140, 72, 0.336}, {150, 55, 0.261}}
	table := ""
	for _, r := range rows {
		table += fmt.Sprintf("[%g, %g], ", r.celsius, r.ohms)
	}
	s := built(t, fmt.Sprintf(`format = 1
[module.M]
pins.1 = { kind = "input", pull_up_ohms = "1k", input_ohms = 1e12, bits = %d }
pins.2 = { kind = "return", ohms = 0 }
[device.NTC]
kind = "thermistor"
terminals = { a = "1", b = "2" }
table = [%s]
[[run]]
path = ["M:1", "NTC:1"]
length_m = 0
[[run]]
path = ["M:2", "NTC:2"]
length_m = 0
`, fullBits, table)).through(idealMeter)
	for _, r := range rows {
		// Four contacts of 5 mΩ beside the book's 0 Ω: they lift the pin by at the most 5 mA × 20 mΩ = 0.1 mV.
		const tolerance = 0.0005 + 0.0001
		at := s.at("NTC", r.celsius)
		within(t, fmt.Sprintf("scan value at %g °C", r.celsius), at.scan("M:1"), r.volts, tolerance)
		within(t, fmt.Sprintf("volts at %g °C", r.celsius), at.volts("M:1"), r.volts, tolerance)
	}
	// With the hand meter of a job it is next to the same: 10 MΩ across at the most 1 kΩ.
	s.meter.InputOhms = 10e6
	within(t, "through a hand meter", s.at("NTC", -40).volts("M:1"), 4.892, 0.001)
}

// Two pressure sensors by their data sheets: MPX4250A Vout = VS·(0.004·P − 0.04), 20 to 250 kPa (NXP/Freescale sheet copy,
// scribd 879642895); MPX4115A Vout = VS·(0.009·P − 0.095), 15 to 115 kPa (sheet copies escaperoom.opx.pl and scribd
// 783580930, whose operating table at 5.1 V prints 0.204 V of offset and 4.794 V at full scale). The values between are
// reckoned from the printed law.
func TestPressureSensorTransfers(t *testing.T) {
	for _, sensor := range []struct {
		name            string
		low, high       float64 // share of the supply at the ends of the range
		least, greatest float64 // kPa
		kPa, at50, at51 []float64
	}{
		{"MPX4250A", 0.04, 0.96, 20, 250, []float64{20, 50, 100, 150, 200, 250},
			[]float64{0.200, 0.800, 1.800, 2.800, 3.800, 4.800}, []float64{0.204, 0.816, 1.836, 2.856, 3.876, 4.896}},
		{"MPX4115A", 0.04, 0.94, 15, 115, []float64{15, 50, 100, 115},
			[]float64{0.200, 1.775, 4.025, 4.700}, []float64{0.204, 1.8105, 4.1055, 4.794}},
	} {
		for which, volts := range []float64{5.0, 5.1} {
			want := [][]float64{sensor.at50, sensor.at51}[which]
			s := built(t, fmt.Sprintf(`format = 1
[module.M]
pins.1 = { kind = "reference", volts = %g, source_ohms = 0 }
pins.2 = { kind = "input", input_ohms = 1e12, bits = %d }
pins.3 = { kind = "return", ohms = 0 }
[device.P]
kind = "ratiometric"
terminals = { supply = "1", output = "2", return = "3" }
low = %g
high = %g
supply_ohms = "729"            # 7 mA, as the sheet has it
[[run]]
path = ["M:1", "P:1"]
length_m = 0
[[run]]
path = ["M:2", "P:2"]
length_m = 0
[[run]]
path = ["M:3", "P:3"]
length_m = 0
`, volts, fullBits, sensor.low, sensor.high)).through(idealMeter)
			for i, p := range sensor.kPa {
				// 7 mA over two contacts of 5 mΩ each way: 70 µV of the supply, and 70 µV of the return.
				const tolerance = 0.0005 + 0.00014
				at := s.at("P", (p-sensor.least)/(sensor.greatest-sensor.least))
				within(t, fmt.Sprintf("%s on %g V at %g kPa", sensor.name, volts, p), at.scan("M:2"), want[i], tolerance)
				within(t, fmt.Sprintf("%s on %g V at %g kPa, volts at the sensor", sensor.name, volts, p), at.volts("P:2", "P:3"), want[i], tolerance)
			}
		}
	}
}

// LIEC dcsignal.sml: 4 to 20 mA in 250 Ω make 1 to 5 V, and the zero is live: no current at all is no reading but a fault.
func TestCurrentLoopIn250Ohms(t *testing.T) {
	s := built(t, fmt.Sprintf(`format = 1
[battery]
volts = 24
running_volts = 24
source_ohms = 0
[module.C]
pins.1 = { kind = "input", pull_down_ohms = 250, input_ohms = 1e12, range_volts = [0, 6], bits = %d }
[device.PT]
kind = "current_loop"
terminals = { supply = "1", return = "2" }
min_volts = 10
[[run]]
path = ["B+", "PT:1"]
length_m = 2
[[run]]
path = ["PT:2", "C:1"]
length_m = 300
`, fullBits)).through(idealMeter)
	for _, r := range [][2]float64{{4, 1.0}, {5.6, 1.4}, {7.2, 1.8}, {8, 2.0}, {8.8, 2.2}, {10.4, 2.6}, {12, 3.0}, {13.6, 3.4}, {20, 5.0}} {
		within(t, fmt.Sprintf("scan value of %g mA", r[0]), s.at("PT", r[0]).scan("C:1"), r[1], 0.00001)
		within(t, fmt.Sprintf("%g mA into the transmitter", r[0]), 1000*s.at("PT", r[0]).amps("PT:1"), r[0], 0.00001)
		within(t, fmt.Sprintf("%g mA out of it", r[0]), 1000*s.at("PT", r[0]).amps("PT:2"), -r[0], 0.00001) // positive is into a part
	}
	// Ohms in the loop change nothing while the transmitter has its 10 V: 24 − 10 − 5 V = 9 V, 450 Ω at 20 mA. The wires'
	// own 302 m are 11.2 Ω.
	within(t, "400 Ω in the loop", s.at("PT", 20).under("high-resistance PT:2>C:1 400").scan("C:1"), 5, 0.00001)
	if v := s.at("PT", 20).under("high-resistance PT:2>C:1 600").scan("C:1"); v > 4.9 {
		t.Errorf("600 Ω in the loop leave the transmitter short of volts, yet the pin is at %g V", v)
	}
	// The live zero: least pressure is 1 V, a broken loop is 0 V.
	within(t, "least pressure", s.at("PT", 4).scan("C:1"), 1, 0.00001)
	within(t, "broken loop", s.at("PT", 4).under("open PT:2>C:1").scan("C:1"), 0, 0.00001)
}
