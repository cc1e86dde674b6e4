package main

import (
	"context"
	"fmt"
	"os"
	"os/signal"
	"sync"
	"time"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/recorded"
	"ohmtrail/cmd/internal/recordings"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/solver/recording"
)

// following says jumps as rows come.
type following struct {
	l       *logging
	live    []*recording.Live // by channel
	told    []bool            // that the channel is listened to
	started time.Time
	stopped bool
	jumps   int
	large   bool
	sync.Mutex
}

// follow reads rows as they come until the input ends or the user breaks off, then answers for them all.
func (l *logging) follow() error {
	f := &following{l: l, started: time.Now(), large: isTerminal(l.d.out)}
	for _, c := range l.channels {
		f.live = append(f.live, recording.NewLive(c.Step, l.ask.least))
	}
	f.told = make([]bool, len(l.channels))
	if err := l.d.text(fmt.Sprintf("Hold everything still for %d samples: level and noise are being learnt.\n", recording.LiveLearns)); err != nil {
		return err
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	ended := make(chan error, 1)
	go func() {
		tally, err := l.table.Read(l.plan, f.row)
		f.Lock()
		defer f.Unlock()
		if !f.stopped {
			l.tally = tally
		}
		ended <- err
	}()
	select {
	case err := <-ended:
		if err != nil {
			return err
		}
	case <-ctx.Done():
	}
	f.Lock()
	f.stopped = true
	l.endMark()
	f.Unlock()
	if l.taken == 0 {
		return fmt.Errorf("%s: it ended before the first row", l.table.File)
	}
	if err := l.d.text("\n"); err != nil {
		return err
	}
	return l.answer()
}

// errStopped ends the reading after the user broke off.
var errStopped = fmt.Errorf("broken off")

// arrival is how finely rows without a time are timed as they come: pipes hand them on in bursts.
const arrival = 10 * time.Millisecond

// row takes a row as it comes.
func (f *following) row(r *recorded.Row) error {
	f.Lock()
	defer f.Unlock()
	if f.stopped {
		return errStopped
	}
	l := f.l
	if l.plan.Time.Index == 0 && l.plan.Interval == 0 {
		r.Time = time.Since(f.started).Round(arrival).Seconds()
	}
	l.row(r)
	for i, c := range l.channels {
		v := r.Values[i]
		if r.Over[i] && c.Reading.Quantity == circuits.Ohms {
			v = l.job.Meter.MaxOhms
		}
		change, jumped := f.live[i].Add(v)
		if jumped {
			f.jumps++
			if err := l.d.text(f.said(c, r, change)); err != nil {
				return err
			}
		}
		if !f.told[i] && !f.live[i].Learning() {
			f.told[i] = true
			if err := l.d.text(fmt.Sprintf("Listening to %s at %s. Move one place at a time.\n", view.Plainly(view.Where(c.Reading)), view.Value(c.Reading.Quantity, f.live[i].Level()))); err != nil {
				return err
			}
		}
	}
	return nil
}

// said is a jump as it is told: with a bell and in large letters where someone watches, in a line in a pipe.
func (f *following) said(c *recordings.Channel, r *recorded.Row, change recording.Change) string {
	q := c.Reading.Quantity
	show := func(v float64) string {
		if q == circuits.Ohms && v >= 0.99*f.l.job.Meter.MaxOhms {
			return "OL"
		}
		return view.Value(q, v)
	}
	words := fmt.Sprintf("JUMP %d  %.2f s  %s  %s to %s", f.jumps, r.Time, view.Plainly(view.Where(c.Reading)), show(change.Before), show(change.After))
	if r.Mark != "" {
		words += "  " + r.Mark + " moved"
	}
	if !f.large {
		return words + "\n"
	}
	return "\a\n" + view.Large(show(change.After)) + words + "\n"
}
