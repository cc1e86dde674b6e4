package main

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// withLayout builds ohmtrail-layout and puts it on the path.
func withLayout(t *testing.T) {
	t.Helper()
	folder := t.TempDir()
	build := exec.Command("go", "build", "-o", filepath.Join(folder, "ohmtrail-layout"), "ohmtrail/cmd/ohmtrail-layout")
	if said, err := build.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, said)
	}
	t.Setenv("PATH", folder+string(os.PathListSeparator)+os.Getenv("PATH"))
}

// flowRun runs ohmtrail flowchart on a circuit of the library.
func flowRun(t *testing.T, args ...string) (status int, out, said string) {
	t.Helper()
	var stdout, stderr bytes.Buffer
	status = run(append([]string{"flowchart", "library:coolant-temperature", "--code", "P0118", "--steps", "16"}, args...), strings.NewReader(""), &stdout, &stderr)
	return status, stdout.String(), stderr.String()
}

// TestFlowchartPictures: every word of the chart stands in the picture and on the pages, as often as it is asked for.
func TestFlowchartPictures(t *testing.T) {
	withLayout(t)
	_, body, _ := flowRun(t, "--json")
	var chart struct {
		Nodes []struct {
			Number   int
			Kind     string
			Says     []string
			Branches []struct{ Says string }
		}
	}
	if err := json.Unmarshal([]byte(body), &chart); err != nil {
		t.Fatal(err)
	}
	folder := t.TempDir()
	svg, pdf := filepath.Join(folder, "c.svg"), filepath.Join(folder, "c.pdf")
	for _, file := range []string{svg, pdf} {
		if status, _, said := flowRun(t, "-o", file); status != done {
			t.Fatalf("%s: %s", file, said)
		}
	}
	drawn, err := os.ReadFile(svg)
	if err != nil {
		t.Fatal(err)
	}
	letters := func(s string) string { return strings.Join(strings.Fields(s), "") }
	texts := map[string]string{"SVG": letters(xmlText(t, drawn))}
	if _, err := exec.LookPath("pdftotext"); err == nil || os.Getenv("CI") != "" {
		words, err := exec.Command("pdftotext", "-raw", pdf, "-").Output()
		if err != nil {
			t.Fatal(err)
		}
		texts["PDF"] = letters(strings.ReplaceAll(string(words), "−", "-"))
	}
	for what, text := range texts {
		for _, n := range chart.Nodes {
			if n.Kind == "one by one" {
				continue
			}
			for _, words := range n.Says {
				if !strings.Contains(text, letters(words)) {
					t.Errorf("the %s lacks %q of step %d", what, words, n.Number)
				}
			}
			for _, b := range n.Branches {
				if !strings.Contains(text, letters(b.Says)) {
					t.Errorf("the %s lacks %q of step %d", what, b.Says, n.Number)
				}
			}
		}
	}
}

// xmlText is all text of an XML document.
func xmlText(t *testing.T, body []byte) string {
	t.Helper()
	var out strings.Builder
	d := xml.NewDecoder(bytes.NewReader(body))
	for {
		token, err := d.Token()
		if token == nil {
			return out.String()
		}
		if err != nil {
			t.Fatal(err)
		}
		if text, ok := token.(xml.CharData); ok {
			out.Write(text)
		}
	}
}

// TestFlowchartWithoutLayout: where the program is not there the picture is refused with what to do, and no file is written.
func TestFlowchartWithoutLayout(t *testing.T) {
	t.Setenv("PATH", t.TempDir())
	file := filepath.Join(t.TempDir(), "c.svg")
	status, _, said := flowRun(t, "-o", file)
	if status != atFault || !strings.Contains(said, "`go install ./cmd/...` installs both, and -o chart.md or chart.txt is the same chart in words") {
		t.Errorf("status %d: %s", status, said)
	}
	if _, err := os.Stat(file); err == nil {
		t.Error("a file was written")
	}
}
