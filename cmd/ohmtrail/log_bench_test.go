package main

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"math/rand/v2"
	"runtime"
	"slices"
	"strconv"
	"syscall"
	"testing"

	"ohmtrail/cmd/internal/recorded"
	"ohmtrail/solver/recording"
)

// rowsOfNoise is a table of that many rows at a thousand a second, with noise and a dropout of three seconds in every thousand.
type rowsOfNoise struct {
	rows, at int
	random   *rand.Rand
	left     []byte
}

func newRows(rows int) *rowsOfNoise {
	return &rowsOfNoise{rows: rows, random: rand.New(rand.NewPCG(1, 2)), left: []byte("Time (s),Voltage (V)\n")}
}

// Read gives the table's text.
func (r *rowsOfNoise) Read(p []byte) (int, error) {
	for len(r.left) < len(p) && r.at < r.rows {
		v := 2.7 + 0.01*r.random.NormFloat64()
		if r.at >= 1_000_000 && r.at%1_000_000 < 3000 {
			v -= 2.6
		}
		r.left = strconv.AppendFloat(r.left, float64(r.at)*0.001, 'f', 3, 64)
		r.left = append(r.left, ',')
		r.left = append(strconv.AppendFloat(r.left, v, 'f', 4, 64), '\n')
		r.at++
	}
	n := copy(p, r.left)
	if r.left = r.left[:copy(r.left, r.left[n:])]; n == 0 {
		return 0, io.EOF
	}
	return n, nil
}

// withStandardLibrary merely reads and parses a table.
func withStandardLibrary(from io.Reader) (sum float64, err error) {
	r := csv.NewReader(from)
	r.ReuseRecord = true
	if _, err := r.Read(); err != nil {
		return 0, err
	}
	for {
		row, err := r.Read()
		if errors.Is(err, io.EOF) {
			return sum, nil
		}
		if err != nil {
			return 0, err
		}
		for _, cell := range row {
			v, err := strconv.ParseFloat(cell, 64)
			if err != nil {
				return 0, err
			}
			sum += v
		}
	}
}

// asLog reads a table as log does: rows, jumps, envelope.
func asLog(from io.Reader) (recording.Found, error) {
	s, err := recorded.Open("rows.csv", from)
	if err != nil {
		return recording.Found{}, err
	}
	at, _ := s.Time()
	f, e := recording.NewFinder(s.Step(s.Columns[1]), 0), recording.NewEnvelope(2400)
	_, err = s.Read(recorded.Plan{Time: at, Values: s.Columns[1:2]}, func(r *recorded.Row) error {
		f.Add(r.Time, r.Values[0])
		e.Add(r.Time, r.Values[0])
		return nil
	})
	return f.Found(), err
}

// processor is the processor time of this process so far, in seconds.
func processor(t testing.TB) float64 {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		t.Fatal(err)
	}
	return float64(u.Utime.Sec+u.Stime.Sec) + float64(u.Utime.Usec+u.Stime.Usec)/1e6
}

// ratioToStandardLibrary is the processor time of asLog over that of withStandardLibrary, the middle of interleaved rounds.
func ratioToStandardLibrary(t testing.TB, rows, rounds int) float64 {
	table, err := io.ReadAll(newRows(rows))
	if err != nil {
		t.Fatal(err)
	}
	var ratios []float64
	for range rounds {
		a := processor(t)
		if _, err := withStandardLibrary(bytes.NewReader(table)); err != nil {
			t.Fatal(err)
		}
		b := processor(t)
		if _, err := asLog(bytes.NewReader(table)); err != nil {
			t.Fatal(err)
		}
		ratios = append(ratios, (processor(t)-b)/(b-a))
	}
	slices.Sort(ratios)
	return ratios[len(ratios)/2]
}

// BenchmarkLogAgainstStandardLibrary: how many times the processor time of merely reading and parsing a table with
// encoding/csv and strconv it takes to read it, find its jumps and keep the chart's envelope; at most three are asked for.
func BenchmarkLogAgainstStandardLibrary(b *testing.B) {
	b.ReportMetric(ratioToStandardLibrary(b, 1_000_000, max(b.N, 3)), "times-csv")
}

// TestLogStaysSmall: what is held does not grow with the recording. Three million rows of 46 MB end below 24 MB of heap in use.
func TestLogStaysSmall(t *testing.T) {
	var before runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	peak := uint64(0)
	found, err := asLog(&peaks{from: newRows(3_000_000), peak: &peak})
	if err != nil {
		t.Fatal(err)
	}
	if n := len(found.Jumps); n != 4 || found.Samples != 3_000_000 {
		t.Errorf("%d jumps in %d samples", n, found.Samples)
	}
	if more := int64(peak) - int64(before.HeapAlloc); more > 24<<20 {
		t.Errorf("heap grew by %d MB", more>>20)
	}
}

// peaks notes the greatest heap in use while a table is read.
type peaks struct {
	from io.Reader
	peak *uint64
	n    int
}

// Read reads on and looks now and then.
func (p *peaks) Read(b []byte) (int, error) {
	if p.n++; p.n%8 == 0 {
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		*p.peak = max(*p.peak, m.HeapInuse)
	}
	return p.from.Read(b)
}
