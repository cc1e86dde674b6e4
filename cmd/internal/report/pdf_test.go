package report

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// textOf is the text of a PDF as a viewer would copy it. Without poppler's tools that cannot be seen: it is said and
// left out, except where CI is set.
func textOf(t testing.TB, pdf []byte) (text string, ok bool) {
	t.Helper()
	if _, err := exec.LookPath("pdftotext"); err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("pdftotext is missing, and the PDF must be read back (Debian: apt install poppler-utils)")
		}
		t.Log("pdftotext is missing: the PDF is not read back (Debian: apt install poppler-utils)")
		return "", false
	}
	file := filepath.Join(t.TempDir(), "x.pdf")
	if err := os.WriteFile(file, pdf, 0o644); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("pdftotext", "-layout", "-enc", "UTF-8", file, "-").CombinedOutput()
	if err != nil || bytes.Contains(out, []byte("Syntax Error")) {
		t.Fatalf("pdftotext: %v\n%.300s", err, out)
	}
	return string(out), true
}
