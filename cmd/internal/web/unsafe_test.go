package web_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A reading with leads that would hurt something is not written, whoever confirms it, and the current is named; with leads that hurt nothing it is.
func TestUnsafeLeadsAreNotWritten(t *testing.T) {
	folder := jobs(t)
	s := serve(t, folder, 0, nil)
	before, err := os.ReadFile(filepath.Join(folder, "mast-height-start.job.toml"))
	if err != nil {
		t.Fatal(err)
	}
	with := func(id, load string) string {
		body := strings.Replace(volts(id, "5.0"), `"load":[]`, `"load":[{"from":"MHS:1","to":"B-","ohms":`+load+`}]`, 1)
		return strings.Replace(body, `"confirm":false`, `"confirm":true`, 1)
	}
	if status, text := s.post(startReadings, with("abcdefgh1", "5")); status != 422 || !strings.Contains(text, "asked of MCU:A1, which gives 80 mA") {
		t.Errorf("5 Ω on the reference: %d %s", status, text)
	}
	if now, _ := os.ReadFile(filepath.Join(folder, "mast-height-start.job.toml")); string(now) != string(before) {
		t.Errorf("the file was changed:\n%s", now)
	}
	if status, text := s.post(startReadings, with("abcdefgh2", "330")); status != 200 {
		t.Errorf("330 Ω on the reference: %d %s", status, text)
	}
}
