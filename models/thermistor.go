package models

import "math"

// ZeroCelsius is 0 °C in kelvin.
const ZeroCelsius = 273.15

// CelsiusOhms is one row of a thermistor table.
type CelsiusOhms struct{ Celsius, Ohms float64 }

// TableOhms interpolates a thermistor table (rows in rising temperature, at least two) with ln Ω linear in 1/K, which
// is the Beta law between two neighbouring rows; beyond the ends the last pair's law goes on.
func TableOhms(table []CelsiusOhms, celsius float64) float64 {
	i := 1
	for i < len(table)-1 && celsius > table[i].Celsius {
		i++
	}
	a, b := table[i-1], table[i]
	ia, ib := 1/(a.Celsius+ZeroCelsius), 1/(b.Celsius+ZeroCelsius)
	f := (1/(celsius+ZeroCelsius) - ia) / (ib - ia)
	return math.Exp(math.Log(a.Ohms) + f*(math.Log(b.Ohms)-math.Log(a.Ohms)))
}

// BetaOhms is the Beta law: R25 · exp(B·(1/T − 1/298.15)), T in kelvin.
func BetaOhms(ohms25, beta, celsius float64) float64 {
	return ohms25 * math.Exp(beta*(1/(celsius+ZeroCelsius)-1/(25+ZeroCelsius)))
}
