// Package models holds the laws of parts, the quantities they are written in, and published tables: what an
// ohm value looks like on a part, how many ohms a wire has, what a thermistor reads at a temperature.
//
// It knows nothing of circuits, files or faults. All values are SI (volts, ohms, amperes, metres) except where a
// name says otherwise (SizeMM2, LengthM, Celsius). Every formula and table names its source beside it.
package models
