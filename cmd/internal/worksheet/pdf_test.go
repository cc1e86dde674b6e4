package worksheet

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"ohmtrail/cmd/internal/paper"
)

// TestPages reads sheet and key back with poppler, on both papers: page numbers, fields to fill in, no letter lost, and
// no page without words.
func TestPages(t *testing.T) {
	if _, err := exec.LookPath("pdftotext"); err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("pdftotext is missing (Debian: apt install poppler-utils)")
		}
		t.Log("left out: pdftotext is missing (Debian: apt install poppler-utils)")
		return
	}
	sheets := []Sheet{sheetOf(t, "throttle-potentiometer", 1), sheetOf(t, "pressure-three-wire", 1)}
	for _, size := range paper.Sizes() {
		for _, d := range []struct {
			name  string
			doc   paper.Document
			words []string
		}{
			{"sheet", Document(sheets), []string{"Name", "Class", "Date", "1. Predict", "2. Which fault explains these readings?", "3. Which reading next?"}},
			{"key", Key(sheets), []string{"Key: not for students", "6000 counts", "Bits a minute"}},
		} {
			body, err := paper.PDF(d.doc, size)
			if err != nil {
				t.Fatal(err)
			}
			file := filepath.Join(t.TempDir(), d.name+".pdf")
			if err := os.WriteFile(file, body, 0o666); err != nil {
				t.Fatal(err)
			}
			out, err := exec.Command("pdftotext", "-layout", file, "-").Output()
			if err != nil {
				t.Fatal(err)
			}
			pages := strings.Split(strings.TrimSuffix(string(out), "\f"), "\f")
			for i, p := range pages {
				if !regexp.MustCompile(`Page \d+ of \d+`).MatchString(p) || len(strings.Fields(p)) < 12 {
					t.Errorf("%s on %s: page %d says\n%s", d.name, size.Name, i+1, p)
				}
			}
			for _, w := range d.words {
				if !strings.Contains(string(out), w) {
					t.Errorf("%s on %s lacks %q", d.name, size.Name, w)
				}
			}
			if strings.Contains(d.name, "key") && strings.Contains(string(out), "□") {
				t.Errorf("%s on %s: a letter is missing", d.name, size.Name)
			}
		}
	}
}
