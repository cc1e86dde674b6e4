package main

import (
	"fmt"
	"io"
	"sync"
	"time"

	"github.com/schollz/progressbar/v3"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/solver/plan"
	"ohmtrail/solver/rank"
)

// patience is how long a command may work before it says at what.
const patience = time.Second

// waiting says on a terminal what takes its time and for how long it has, once that is longer than a second, until it is
// told that it is done. In a pipe it says nothing.
func (d *desk) waiting(what string) (done func()) {
	if !isTerminal(d.err) {
		return func() {}
	}
	return tell(d.err, what, patience)
}

// tell is waiting on a terminal.
func tell(terminal io.Writer, what string, patience time.Duration) (done func()) {
	stop, gone := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(gone)
		select {
		case <-stop:
			return
		case <-time.After(patience):
		}
		begun := time.Now().Add(-patience)
		bar := progressbar.NewOptions(-1, progressbar.OptionSetWriter(terminal), progressbar.OptionSetElapsedTime(false),
			progressbar.OptionSpinnerCustom([]string{"·  ", "·· ", "···"}), progressbar.OptionThrottle(0))
		for {
			bar.Describe(fmt.Sprintf("%s, %d s", what, int(time.Since(begun).Seconds())))
			select {
			case <-stop:
				bar.Clear()
				return
			case <-time.After(patience / 2):
			}
		}
	}()
	return sync.OnceFunc(func() {
		close(stop)
		<-gone
	})
}

// progress is a bar of so many things done on a terminal, and nothing in a pipe.
func (d *desk) progress(what string, count int) *progressbar.ProgressBar {
	if !isTerminal(d.err) {
		return progressbar.DefaultSilent(int64(count))
	}
	return progressbar.NewOptions(count, progressbar.OptionSetWriter(d.err), progressbar.OptionSetDescription(what),
		progressbar.OptionSetWidth(30), progressbar.OptionShowCount(), progressbar.OptionClearOnFinish(), progressbar.OptionSetPredictTime(true), progressbar.OptionThrottle(100*time.Millisecond))
}

// ranked weighs all faults of a job.
func (d *desk) ranked(j *circuits.Job) rank.Ranking {
	defer d.waiting("weighing all faults")()
	return rank.Rank(j)
}

// planned ranks a job and plans its next reading.
func (d *desk) planned(j *circuits.Job) view.Planned {
	r := d.ranked(j)
	defer d.waiting("weighing what to read next")()
	p := plan.Next(&r)
	return view.Planned{Ranking: r, Plan: p, Advice: view.Advice(&r, p)}
}
