package recording

import (
	"math"
	"math/rand/v2"
)

// made is an invented recording of known truth.
type made struct {
	samples  int
	interval float64
	away     float64
	there    float64
	noise    float64      // one standard deviation
	drift    float64      // over the whole recording, a straight line
	swing    float64      // a slow sine of that height, twice over the recording
	faulty   [][2]float64 // times in which the value is at there
	random   *rand.Rand
	add      func(i int) float64
}

func (m made) values() (times, values []float64) {
	for i := range m.samples {
		t := float64(i) * m.interval
		v := m.away
		for _, f := range m.faulty {
			if t >= f[0] && t < f[1] {
				v = m.there
			}
		}
		share := float64(i) / float64(m.samples)
		v += m.drift*share + m.swing*math.Sin(4*math.Pi*share) + m.noise*m.random.NormFloat64()
		if m.add != nil {
			v += m.add(i)
		}
		times, values = append(times, t), append(values, v)
	}
	return times, values
}

func (m made) find() Found {
	times, values := m.values()
	return findIn(times, values, 0, 0)
}

func findIn(times, values []float64, step, least float64) Found {
	f := NewFinder(step, least)
	for i, v := range values {
		f.Add(times[i], v)
	}
	return f.Found()
}

func seeded(n uint64) *rand.Rand { return rand.New(rand.NewPCG(n, 5)) }
