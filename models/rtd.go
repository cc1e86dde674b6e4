package models

// Callendar–Van Dusen coefficients of industrial platinum, IEC 60751.
const (
	rtdA = 3.9083e-3
	rtdB = -5.775e-7
	rtdC = -4.183e-12
)

// RTDOhms is the resistance of a platinum thermometer with ohms0 at 0 °C (IEC 60751): R0·(1 + At + Bt²), and below
// 0 °C the term C·(t − 100)·t³ as well.
func RTDOhms(ohms0, celsius float64) float64 {
	t := celsius
	r := 1 + rtdA*t + rtdB*t*t
	if t < 0 {
		r += rtdC * (t - 100) * t * t * t
	}
	return ohms0 * r
}
