package draw

import (
	"strconv"
	"testing"

	"ohmtrail/circuits/made"
)

// BenchmarkDraw draws whole harnesses; the time of a wire should stay what it is however many there are.
func BenchmarkDraw(b *testing.B) {
	for _, wires := range []int{40, 163, 313, 1000, 3000} {
		b.Run(strconv.Itoa(wires), func(b *testing.B) {
			c := parse(b, made.Harness(1, wires))
			for b.Loop() {
				Draw(c, Marks{Legend: true})
			}
			b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(b.N*len(c.Wires)), "µs/wire")
		})
	}
}
