package draw

import "math"

// quad is one straight piece of a stroke, as the corners of its area.
type quad [4]XY

// stroke is the area of a stroke along a path: one quad a segment, lengthened at sharp corners so that these are square.
func stroke(path []XY, width float64, closed bool) []quad {
	var out []quad
	if closed && len(path) > 1 {
		path = append(append([]XY(nil), path...), path[0])
	}
	half := width / 2
	for i := 1; i < len(path); i++ {
		a, b := path[i-1], path[i]
		length := math.Hypot(b.X-a.X, b.Y-a.Y)
		if length == 0 {
			continue
		}
		ux, uy := (b.X-a.X)/length, (b.Y-a.Y)/length
		if i > 1 && turns(path[i-2], a, b) {
			a = XY{a.X - ux*half, a.Y - uy*half}
		}
		if i+1 < len(path) && turns(a, b, path[i+1]) {
			b = XY{b.X + ux*half, b.Y + uy*half}
		}
		nx, ny := -uy*half, ux*half
		out = append(out, quad{{a.X + nx, a.Y + ny}, {b.X + nx, b.Y + ny}, {b.X - nx, b.Y - ny}, {a.X - nx, a.Y - ny}})
	}
	return out
}

// turns tells whether a path has a corner of more than about 45° at b.
func turns(a, b, c XY) bool {
	dot := (b.X-a.X)*(c.X-b.X) + (b.Y-a.Y)*(c.Y-b.Y)
	return dot < 0.7*math.Hypot(b.X-a.X, b.Y-a.Y)*math.Hypot(c.X-b.X, c.Y-b.Y)
}

// circle is a polygon that cannot be told from a circle at the sizes drawn here.
func circle(at XY, radius float64) []XY { return arc(nil, at, radius, 0, 2*math.Pi, 40) }

// arc appends points on a circle from one angle to another.
func arc(points []XY, at XY, radius, from, to float64, steps int) []XY {
	for k := range steps {
		a := from + (to-from)*float64(k)/float64(steps)
		points = append(points, XY{at.X + radius*math.Cos(a), at.Y + radius*math.Sin(a)})
	}
	return points
}

// rounded is the outline of a box.
func rounded(p, q XY, radius float64) []XY {
	r := min(radius, (q.X-p.X)/2, (q.Y-p.Y)/2)
	if r <= 0 {
		return []XY{p, {q.X, p.Y}, q, {p.X, q.Y}}
	}
	var out []XY
	for k, at := range []XY{{q.X - r, q.Y - r}, {p.X + r, q.Y - r}, {p.X + r, p.Y + r}, {q.X - r, p.Y + r}} {
		from := float64(k) * math.Pi / 2
		out = arc(out, at, r, from, from+math.Pi/2, 6)
		out = append(out, XY{at.X + r*math.Cos(from+math.Pi/2), at.Y + r*math.Sin(from+math.Pi/2)})
	}
	return out
}

// along walks a path and returns the stretches that a dash pattern leaves visible; a nil pattern leaves the whole.
func along(path []XY, dash []float64, offset float64) [][]XY {
	if len(dash) == 0 {
		return [][]XY{path}
	}
	period := 0.0
	for _, d := range dash {
		period += d
	}
	if period <= 0 {
		return [][]XY{path}
	}
	at, left := 0, math.Mod(math.Mod(offset, period)+period, period)
	for left >= dash[at] {
		left -= dash[at]
		at = (at + 1) % len(dash)
	}
	left = dash[at] - left // of the dash or gap that the path begins in
	var out [][]XY
	var now []XY
	for i := 1; i < len(path); i++ {
		a, b := path[i-1], path[i]
		length := math.Hypot(b.X-a.X, b.Y-a.Y)
		if at%2 == 0 && now == nil {
			now = []XY{a}
		}
		for walked := 0.0; ; {
			if length-walked < left {
				left -= length - walked
				break
			}
			walked += left
			q := XY{a.X + (b.X-a.X)*walked/length, a.Y + (b.Y-a.Y)*walked/length}
			if at%2 == 0 {
				out, now = append(out, append(now, q)), nil
			} else {
				now = []XY{q}
			}
			at = (at + 1) % len(dash)
			left = dash[at]
		}
		if at%2 == 0 && length > 0 {
			now = append(now, b)
		}
	}
	if at%2 == 0 && len(now) > 1 {
		out = append(out, now)
	}
	return out
}
