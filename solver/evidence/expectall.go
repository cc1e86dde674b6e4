package evidence

import (
	"math"
	"runtime"
	"sync"
	"sync/atomic"

	"ohmtrail/circuits"
	"ohmtrail/solver/network"
)

// handful is how many faults are looked at together.
const handful = 256

// All says what each of some readings shows under many single faults, and hands it over fault by fault in their order, as it
// is reckoned; it ends with the first error that it is given back. No more than a handful of faults is kept at a time.
//
// A fault that shows the same as one before it, at all stimuli and ohms that are looked at, and is moved as much by the
// widths, has its bounds; so they may differ by a twentieth of the reading's standard error, or a fiftieth of the way from
// the middle of the bounds to their ends, from what Expect says; by more where some of the likely machines are at the edge of
// blowing a fuse or of a supply's limit.
func (x *Expecter) All(readings []circuits.Reading, faults []circuits.Single, each func(fault int, e []Expectation) error) error {
	s := x.sight(readings)
	for from := 0; from < len(faults); from += handful {
		for k, e := range s.look(faults[from:min(from+handful, len(faults))]) {
			if err := each(from+k, e); err != nil {
				return err
			}
		}
	}
	return nil
}

// sight are some readings of the sound circuit, looked at together. What is met of one reading on the way is met in the order
// of the faults, so the same faults give the same bounds.
type sight struct {
	outlooks []*outlook
	hands    []hand // by reading
	surveys  []*network.Survey
}

func (x *Expecter) sight(readings []circuits.Reading) *sight {
	b := x.builtWith(circuits.Single{})
	s := &sight{make([]*outlook, len(readings)), make([]hand, len(readings)), make([]*network.Survey, runtime.GOMAXPROCS(0))}
	abreast(len(readings), func(_, i int) {
		s.outlooks[i] = newOutlook(b, readings[i])
		s.hands[i].twins = &twins{}
	})
	var scenes []*network.Scene
	for _, o := range s.outlooks {
		scenes = append(scenes, o.home, o.aside[0], o.aside[1])
	}
	for i := range s.surveys {
		s.surveys[i] = network.NewSurvey(scenes)
	}
	return s
}

// abreast does things by number on all processors; worker tells which one does it.
func abreast(count int, do func(worker, i int)) {
	var wait sync.WaitGroup
	var next atomic.Int64
	for w := range min(runtime.GOMAXPROCS(0), count) {
		wait.Go(func() {
			for i := int(next.Add(1)) - 1; i < count; i = int(next.Add(1)) - 1 {
				do(w, i)
			}
		})
	}
	wait.Wait()
}

// look says what all readings show under some faults.
func (s *sight) look(faults []circuits.Single) [][]Expectation {
	out, worst := make([][]Expectation, len(faults)), make([][]bounds, len(faults))
	abreast(len(faults), func(worker, k int) {
		out[k], worst[k] = make([]Expectation, len(s.outlooks)), s.survey(worker, faults[k])
	})
	abreast(len(s.outlooks), func(_, i int) {
		o := s.outlooks[i]
		for k, f := range faults {
			if o.r.Sound {
				f = circuits.Single{}
			}
			out[k][i] = o.expect(&s.hands[i], f, &worst[k][i])
		}
	})
	return out
}

// survey bounds what a fault does to each reading.
func (s *sight) survey(worker int, f circuits.Single) []bounds {
	worst := make([]bounds, len(s.outlooks))
	if readsWrong(f) { // in the scenes it is none
		for i := range worst {
			worst[i] = bounds{math.Inf(1), math.Inf(1), math.Inf(1)}
		}
		return worst
	}
	for _, g := range ends(ohmsCorners(f)) {
		for k, b := range s.surveys[worker].Bounds(g, g.Ohms) {
			worst[k/3][k%3] = max(worst[k/3][k%3], b)
		}
	}
	return worst
}
