package web

import (
	"path/filepath"
	"testing"
	"time"
)

// TestJournalOfTwoPrograms: a second program that serves the same folder makes the first one forget nothing that it
// notes afterwards.
func TestJournalOfTwoPrograms(t *testing.T) {
	path := filepath.Join(t.TempDir(), "written.jsonl")
	now := time.Date(2026, 5, 4, 9, 0, 0, 0, time.UTC)
	open := func() *journal {
		j, err := openJournal(path, now)
		if err != nil {
			t.Fatal(err)
		}
		return j
	}
	first := open()
	second := open()
	if err := first.begin("from-the-first", "a.job.toml", "block", nil, now); err != nil {
		t.Fatal(err)
	}
	first.finish("from-the-first", true)
	if err := second.begin("from-the-second", "a.job.toml", "block", nil, now); err != nil {
		t.Fatal(err)
	}
	second.finish("from-the-second", true)
	first.close()
	second.close()
	again := open()
	defer again.close()
	for _, id := range []string{"from-the-first", "from-the-second"} {
		if !again.known(id, nil) {
			t.Errorf("%s is forgotten: it would be written twice", id)
		}
	}
}
