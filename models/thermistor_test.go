package models

import (
	"math"
	"testing"
)

// ntc10k is the resistance table of a 10 kΩ thermistor, 0 to 100 °C in steps of 5. Source: Fronius TransPocket 150 manual,
// p. 72, https://www.easymanua.ls/fronius/transpocket-150/manual?p=72 (tolerance ±4.7 %).
var ntc10k = []float64{32650, 25388, 19900, 15708, 12490, 10000, 8057, 6531, 5327, 4369, 3603,
	2986, 2488, 2083, 1752, 1481, 1258, 1072, 917.7, 788.5, 680}

// Every other row of the published table, put into our interpolation, gives back the rows between within 0.06 %. With ln R
// linear in °C they would be missed by 0.2 to 0.4 %, with R linear in °C by up to 4 %.
func TestTableOhmsFindsThePublishedRowsBetween(t *testing.T) {
	var every []CelsiusOhms
	for i := 0; i < len(ntc10k); i += 2 {
		every = append(every, CelsiusOhms{float64(5 * i), ntc10k[i]})
	}
	worst, straight := 0.0, 0.0
	for i := 1; i < len(ntc10k); i += 2 {
		got := TableOhms(every, float64(5*i))
		near(t, "a row left out", got, ntc10k[i], 0.001)
		worst = math.Max(worst, math.Abs(got/ntc10k[i]-1))
		straight = math.Max(straight, math.Abs((ntc10k[i-1]+ntc10k[i+1])/2/ntc10k[i]-1))
	}
	if straight < 40*worst {
		t.Errorf("ln R over 1/T misses by %.2f %%, a straight line by %.2f %%: the law brings too little", 100*worst, 100*straight)
	}
	for _, row := range every {
		near(t, "a row given", TableOhms(every, row.Celsius), row.Ohms, 1e-12)
	}
}

// Beyond the ends of its rows the table goes on with the law of its last pair: the rows at 0, 5 and 95, 100 °C are left out.
func TestTableOhmsBeyondTheEnds(t *testing.T) {
	var inner []CelsiusOhms
	for i := 2; i <= 18; i++ {
		inner = append(inner, CelsiusOhms{float64(5 * i), ntc10k[i]})
	}
	for _, i := range []int{0, 1, 19, 20} {
		near(t, "a row beyond", TableOhms(inner, float64(5*i)), ntc10k[i], 0.01)
	}
	// By hand: the pair of 50 and 100 °C has B = ln(834/187)/(1/323.15 − 1/373.15) = 1.495124/4.146505e-4 = 3605.75 K; at 120 °C
	// 187·exp(3605.75·(1/393.15 − 1/373.15)) = 187·exp(−0.491567) = 114.38 Ω.
	near(t, "beyond the last pair in Ω", TableOhms([]CelsiusOhms{{0, 5896}, {50, 834}, {100, 187}}, 120), 114.38, 0.0001)
}

// boschNTC is a thermistor table with its published pin voltages behind a pull-up of 1 kΩ to 5 V. Source: engine-management
// help file, http://frozen-cherry.info/Help_File_ENG/temperature_sensor_calibration.htm.
var boschNTC = []struct{ celsius, ohms, volts float64 }{
	{-40, 45313, 4.892}, {-30, 26114, 4.816}, {-20, 15462, 4.696}, {-10, 9397, 4.519}, {0, 5896, 4.275}, {10, 3792, 3.957}, {20, 2500, 3.571},
	{30, 1707, 3.153}, {40, 1175, 2.701}, {50, 834, 2.274}, {60, 596, 1.867}, {70, 436, 1.518}, {80, 323, 1.221}, {90, 243, 0.977},
	{100, 187, 0.788}, {110, 144, 0.629}, {120, 113, 0.508}, {130, 89, 0.409}, {140, 72, 0.336}, {150, 55, 0.261},
}

// The published voltages are 5 V · R/(R + 1 kΩ) with the table's own resistance, to the last printed digit.
func TestTableOhmsGiveThePublishedVoltages(t *testing.T) {
	var table []CelsiusOhms
	for _, row := range boschNTC {
		table = append(table, CelsiusOhms{row.celsius, row.ohms})
	}
	if len(table) != 20 {
		t.Fatalf("%d rows, want 20", len(table))
	}
	for _, row := range boschNTC {
		ohms := TableOhms(table, row.celsius)
		if got := 5 * ohms / (ohms + 1000); math.Abs(got-row.volts) > 0.00051 {
			t.Errorf("%g °C gives %.4f V, want %.3f", row.celsius, got, row.volts)
		}
	}
}

// The rows left out lie within the roundings of the published ones: whole ohms, and degrees that are not all exact.
func TestTableOhmsBetweenTheRowsOfAVehicleSensor(t *testing.T) {
	var every []CelsiusOhms
	for i := 0; i < len(boschNTC)-1; i += 2 {
		every = append(every, CelsiusOhms{boschNTC[i].celsius, boschNTC[i].ohms})
	}
	for i := 1; i < 17; i += 2 {
		near(t, "a row left out", TableOhms(every, boschNTC[i].celsius), boschNTC[i].ohms, 0.025)
	}
}

// Delphi coolant sensor, same page, −30 to 150 °C in steps of 10 (its −40 °C entry is a clamp and no value).
func TestTableOhmsOfAnotherVehicleSensor(t *testing.T) {
	ohms := []float64{52594, 28582, 16120, 9399, 5658, 3511, 2240, 1465, 980, 671, 469, 334, 242, 178, 133, 101, 78, 60, 48}
	var every []CelsiusOhms
	for i := 0; i < len(ohms); i += 2 {
		every = append(every, CelsiusOhms{float64(-30 + 10*i), ohms[i]})
	}
	for i := 1; i < len(ohms); i += 2 {
		near(t, "a row left out", TableOhms(every, float64(-30+10*i)), ohms[i], 0.02)
	}
}

// The Beta law: R25 at 25 °C, and R25·exp(B·(1/T − 1/298.15)) elsewhere. Murata NCP18XH103, R25 = 10 kΩ, B = 3380 K
// (notes.tk233.xyz): at 50 °C 10 000·exp(3380·(1/323.15 − 1/298.15)) = 10 000·exp(−0.877022) = 4160.2 Ω by hand.
func TestBetaLaw(t *testing.T) {
	near(t, "R25", BetaOhms(10000, 3380, 25), 10000, 1e-12)
	near(t, "50 °C in Ω", BetaOhms(10000, 3380, 50), 4160.2, 0.00005)
	near(t, "0 °C in Ω", BetaOhms(10000, 3380, 0), 10000*math.Exp(3380*(25/(273.15*298.15))), 1e-9)
	// The law through two rows is what the table interpolates with: B = ln(R1/R2)/(1/T1 − 1/T2).
	table := []CelsiusOhms{{0, 5896}, {100, 187}}
	beta := math.Log(5896.0/187) / (1/273.15 - 1/373.15)
	near(t, "between two rows in Ω", TableOhms(table, 40), BetaOhms(TableOhms(table, 25), beta, 40), 1e-9)
}
