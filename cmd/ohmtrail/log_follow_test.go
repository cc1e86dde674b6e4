package main

import (
	"fmt"
	"io"
	"strings"
	"sync"
	"testing"
	"time"
)

// heard collects what is printed and tells of each addition.
type heard struct {
	sync.Mutex
	text strings.Builder
	more chan struct{}
}

// Write takes what is printed.
func (h *heard) Write(p []byte) (int, error) {
	h.Lock()
	defer h.Unlock()
	h.text.Write(p)
	select {
	case h.more <- struct{}{}:
	default:
	}
	return len(p), nil
}

// until waits for words.
func (h *heard) until(t *testing.T, words string) {
	t.Helper()
	late := time.After(10 * time.Second)
	for {
		h.Lock()
		there := strings.Contains(h.text.String(), words)
		h.Unlock()
		if there {
			return
		}
		select {
		case <-h.more:
		case <-late:
			t.Fatalf("%q was not said; said:\n%s", words, h.text.String())
		}
	}
}

// TestJumpIsSaidBeforeTheNextRow: with --follow each jump is said when its row has come, not when more follow, and the end of
// the input brings the answer.
func TestJumpIsSaidBeforeTheNextRow(t *testing.T) {
	in, feed := io.Pipe()
	out := &heard{more: make(chan struct{}, 1)}
	status := make(chan int)
	go func() {
		status <- run([]string{"log", "../../testdata/demo/mast-height-wiggle.job.toml", "--follow", "-", "--value", "V=MHS:2", "--mark-column", "moved"}, in, out, out)
	}()
	row := func(i int, v float64, moved string) {
		if _, err := fmt.Fprintf(feed, "%.1f,%.3f,%s\n", float64(i)/10, v, moved); err != nil {
			t.Error(err)
		}
	}
	if _, err := io.WriteString(feed, "t (s),V,moved\n"); err != nil {
		t.Fatal(err)
	}
	for i := range 60 {
		row(i, 2.7+0.002*float64(i%3), "")
	}
	out.until(t, "Listening to MHS:2 at 2.70 V")
	row(60, 0.01, "C7")
	out.until(t, "JUMP 1  6.00 s  MHS:2  2.70 V to 0.010 V  C7 moved\n")
	for i := 61; i < 70; i++ {
		row(i, 0.01+0.002*float64(i%3), "C7")
	}
	row(70, 2.702, "")
	out.until(t, "JUMP 2  7.00 s  MHS:2  0.012 V to 2.70 V\n")
	for i := 71; i < 90; i++ {
		row(i, 2.7+0.002*float64(i%3), "")
	}
	if err := feed.Close(); err != nil {
		t.Fatal(err)
	}
	if got := <-status; got != done {
		t.Errorf("status %d\n%s", got, out.text.String())
	}
	if text := out.text.String(); !strings.Contains(text, "MHS:2 jumped twice between 2.70 V and 0.012 V") || strings.Count(text, "JUMP") != 2 {
		t.Errorf("said\n%s", text)
	}
}
