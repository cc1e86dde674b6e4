package main

import (
	"bytes"
	"strings"
	"sync"
	"testing"
	"time"
)

// screen is a terminal that a test can look at.
type screen struct {
	mu   sync.Mutex
	text bytes.Buffer
}

func (s *screen) Write(b []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.text.Write(b)
}

func (s *screen) String() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.text.String()
}

// What takes long is named on a terminal, and the line is empty again when it is done; what is done at once is never named.
func TestLongWorkIsNamed(t *testing.T) {
	var s screen
	done := tell(&s, "weighing all faults", time.Millisecond)
	for !strings.Contains(s.String(), "weighing all faults, 0 s") {
		time.Sleep(time.Millisecond)
	}
	done()
	done() // as often as one likes
	lines := strings.Split(s.String(), "\r")
	if last := strings.TrimSpace(lines[len(lines)-1] + lines[len(lines)-2]); last != "" {
		t.Errorf("%q is left on the terminal", last)
	}
	var quick screen
	tell(&quick, "weighing all faults", time.Hour)()
	if quick.String() != "" {
		t.Errorf("%q of what was done at once", quick.String())
	}
}
