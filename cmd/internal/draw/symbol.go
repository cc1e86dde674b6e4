package draw

import (
	"ohmtrail/circuits"
)

// symbolTall is the height that a device's symbol takes under its name.
const symbolTall = 22.0

// hasSymbol tells whether IEC 60617 has a plain symbol for what the device is. A sensor with electronics in it is a box
// there as here.
func (p *placed) hasSymbol(device string) bool {
	switch p.circuit.Device(device).Kind {
	case circuits.Resistor, circuits.Load, circuits.Thermistor, circuits.RTD, circuits.Potentiometer, circuits.Fuse, circuits.Switch, circuits.Diode:
		return true
	}
	return false
}

// symbol draws what a device is, after IEC 60617 (from memory), centred on x and y.
func (p *painter) symbol(device string, x, y float64) {
	kind := p.circuit.Device(device).Kind
	stroke := func(points ...XY) {
		for i := range points {
			points[i].X, points[i].Y = points[i].X+x, points[i].Y+y
		}
		p.lineAlong(points, ink, 1.3, nil, 0)
	}
	body := func() {
		p.put(Shape{Kind: Box, Points: []XY{{x - 11, y - 4.5}, {x + 11, y + 4.5}}, Fill: paper, Stroke: ink, Width: 1.3})
	}
	switch kind {
	case circuits.Switch:
		stroke(XY{-20, 0}, XY{-8, 0}, XY{9, -8})
		stroke(XY{9, 0}, XY{20, 0})
		return
	case circuits.Diode:
		stroke(XY{-20, 0}, XY{20, 0})
		p.put(Shape{Kind: Area, Points: []XY{{x - 6, y - 6}, {x + 6, y}, {x - 6, y + 6}}, Fill: paper, Stroke: ink, Width: 1.3})
		stroke(XY{6, -6}, XY{6, 6})
		return
	}
	stroke(XY{-20, 0}, XY{20, 0})
	body()
	switch kind {
	case circuits.Fuse:
		stroke(XY{-11, 0}, XY{11, 0})
	case circuits.Thermistor, circuits.RTD: // the bent line: it changes by itself, with what is written at its foot
		stroke(XY{-17, 8}, XY{-11, 8}, XY{9, -9})
		words := "t"
		if kind == circuits.Thermistor {
			words = "\u2212t"
		}
		p.put(Shape{Kind: Text, Points: []XY{{x + 20, y + 10}}, Text: words, Size: smallSize, Middle: true, Fill: ink})
	case circuits.Potentiometer:
		stroke(XY{0, -10}, XY{0, -6})
		p.put(Shape{Kind: Area, Points: []XY{{x, y - 4.5}, {x - 3, y - 9}, {x + 3, y - 9}}, Fill: ink})
	}
}
