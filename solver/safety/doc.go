// Package safety says what would be hurt by a reading before it is taken: currents in leads, loads, fuses and meters, currents and voltages at
// module pins, reckoned from the circuit as drawn with nothing wrong in it. It gives facts; the words are made elsewhere.
package safety
