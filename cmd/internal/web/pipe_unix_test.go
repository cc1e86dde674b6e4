//go:build unix

package web

import (
	"path/filepath"
	"syscall"
	"testing"
	"time"
)

// TestPipeIsNoJob: a pipe that nobody writes to keeps no request waiting.
func TestPipeIsNoJob(t *testing.T) {
	dir := t.TempDir()
	pipe := filepath.Join(dir, "pipe.job.toml")
	if err := syscall.Mkfifo(pipe, 0o600); err != nil {
		t.Fatal(err)
	}
	f, err := openFolder(dir)
	if err != nil {
		t.Fatal(err)
	}
	answer := make(chan error, 1)
	go func() {
		_, err := f.read("pipe.job.toml")
		answer <- err
	}()
	select {
	case err := <-answer:
		if err == nil {
			t.Error("a pipe was read as a job")
		}
	case <-time.After(5 * time.Second):
		t.Error("a pipe keeps its reader waiting")
	}
}
