package class

import (
	"slices"
	"sync"
	"time"

	"ohmtrail/cmd/internal/exercise"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/plan"
	"ohmtrail/solver/rank"
)

// queue is the work in the background: one goroutine, each seat in it once, so that it is never longer than the class.
type queue struct {
	work   func(*seat)
	mu     sync.Mutex
	more   *sync.Cond
	list   []*seat
	busy   int
	ended  bool
	closed chan struct{}
}

func newQueue(work func(*seat)) *queue {
	q := &queue{work: work, closed: make(chan struct{})}
	q.more = sync.NewCond(&q.mu)
	go q.run()
	return q
}

// add asks for a seat to be reckoned. It never waits.
func (q *queue) add(s *seat) {
	q.mu.Lock()
	defer q.mu.Unlock()
	if !slices.Contains(q.list, s) {
		q.list = append(q.list, s)
		q.more.Signal()
	}
}

// waiting is how many seats are still to be reckoned.
func (q *queue) waiting() int {
	q.mu.Lock()
	defer q.mu.Unlock()
	return len(q.list) + q.busy
}

func (q *queue) run() {
	defer close(q.closed)
	for {
		q.mu.Lock()
		for len(q.list) == 0 && !q.ended {
			q.more.Wait()
		}
		if q.ended {
			q.mu.Unlock()
			return
		}
		s := q.list[0]
		q.list, q.busy = q.list[1:], 1 // out before the work: what the student does meanwhile asks for it anew
		q.mu.Unlock()
		q.work(s)
		q.mu.Lock()
		q.busy = 0
		q.mu.Unlock()
	}
}

const (
	calmFor  = 10 * time.Millisecond  // without a request, before a piece of work is begun
	mostCalm = 300 * time.Millisecond // that it is waited for
)

// calm waits until nobody asks anything, for a short while at the most: a piece of work takes the processor for some
// hundredths of a second, and a person's answer comes first.
func (c *Class) calm() {
	for end := time.Now().Add(mostCalm); time.Now().Before(end); time.Sleep(calmFor / 4) {
		if c.asking.Load() == 0 && time.Since(time.Unix(0, c.asked.Load())) > calmFor {
			return
		}
	}
}

// knownAt weighs the first n steps of a play, when there is calm.
func (c *Class) knownAt(p *exercise.Play, n int) []rank.PlaceOdds {
	c.calm()
	return c.judge.Known(p, n)
}

// close ends the work after the seat at hand.
func (q *queue) close() {
	q.mu.Lock()
	q.ended = true
	q.more.Signal()
	q.mu.Unlock()
	<-q.closed
}

// known is what a student's readings have shown. It is for the board alone.
type known struct {
	Steps   int     // of the play, that it was reckoned after
	Open    int     // places that are open
	Bits    float64 // to find out
	Truth   float64 // probability of the true place
	Nothing int     // readings in a row, the latest last, that told nothing
}

// toldBits is the least information that counts as something.
const toldBits = 0.02

// reckon weighs a student's readings for the board, and marks a play that has ended.
func (c *Class) reckon(s *seat) {
	s.mu.Lock()
	if s.play == nil {
		s.mu.Unlock()
		return
	}
	p := snapshot(s.play)
	s.mu.Unlock()
	k := known{Steps: len(p.Steps)}
	places, before := c.knownAt(p, 0), 0.0
	before = entropy(places)
	for i, step := range p.Steps {
		if step.Action.Kind != exercise.Measure || step.Reply.Refused != "" {
			continue
		}
		places = c.knownAt(p, i+1)
		now := entropy(places)
		if k.Nothing++; now < before-toldBits || now > before+toldBits {
			k.Nothing = 0
		}
		before = now
	}
	if len(p.Steps) > 0 {
		places = c.knownAt(p, len(p.Steps))
	}
	k.Bits = entropy(places)
	for _, o := range places {
		if o.Probability >= 0.02 {
			k.Open++
		}
		if c.isTrue(p.Exercise, o.Place) {
			k.Truth += o.Probability
		}
	}
	s.mu.Lock()
	if s.play.Exercise == p.Exercise && len(s.play.Steps) >= len(p.Steps) {
		s.known = k
	}
	s.mu.Unlock()
	if p.Done() {
		c.mark(s, p)
	}
	c.hub.Send("board", "changed", struct{}{})
}

// isTrue tells whether a place of the ranking is where the fault, or one of two, is put right.
func (c *Class) isTrue(x *exercise.Exercise, place hypothesis.Place) bool {
	return slices.Contains(truePlaces(x), place)
}

// mark marks a play that has ended, and tells the student's page.
func (c *Class) mark(s *seat, p *exercise.Play) {
	m, err := c.judge.Mark(p, c.points)
	if err != nil {
		c.log("marks of %s: %v", p.Student, err)
		return
	}
	s.mu.Lock()
	if s.play.Exercise == p.Exercise && s.play.Done() {
		s.marks = &m
	}
	s.mu.Unlock()
	c.hub.Send(s.topic(), "changed", struct{}{})
}

// snapshot is a play as it stands, to be weighed while the student goes on.
func snapshot(p *exercise.Play) *exercise.Play {
	out := *p
	out.Steps = slices.Clone(p.Steps)
	return &out
}

func entropy(places []rank.PlaceOdds) float64 {
	var weights []float64
	for _, p := range places {
		weights = append(weights, p.Probability)
	}
	return plan.Entropy(weights)
}
