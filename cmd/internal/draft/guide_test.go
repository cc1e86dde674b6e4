package draft

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"ohmtrail/circuits/read"
)

// The guide's circuit file has nothing to warn of, its parts stand in it word for word, and the slip that it tells of is
// told by the check in the sentence that it shows, at the line of that run.
func TestGuide(t *testing.T) {
	page, err := os.ReadFile("../../ohmtrail/guide.md")
	if err != nil {
		t.Fatal(err)
	}
	blocks := map[string][]string{}
	for _, m := range regexp.MustCompile("(?ms)^```(\\w+)\n(.*?)^```$").FindAllStringSubmatch(string(page), -1) {
		blocks[m[1]] = append(blocks[m[1]], m[2])
	}
	circuit := ""
	for _, b := range blocks["toml"] {
		if strings.HasPrefix(b, "# boom.circuit.toml\n") {
			circuit = b
		}
	}
	c, problems := read.Circuit("boom.circuit.toml", []byte(circuit))
	if c == nil || len(problems) > 0 {
		t.Fatal(problems)
	}
	for _, b := range blocks["toml"] {
		if strings.HasPrefix(b, "# ") {
			continue
		}
		for _, line := range strings.Split(strings.TrimSpace(b), "\n") {
			if start, _, _ := strings.Cut(line, " }"); !strings.Contains(circuit, start) {
				t.Errorf("the whole file lacks the step's line %s", line)
			}
		}
	}
	if len(blocks["diff"]) != 1 || len(blocks["text"]) != 1 {
		t.Fatal("the guide shows one slip and one sentence")
	}
	before, after, _ := strings.Cut(strings.TrimSpace(blocks["diff"][0]), "\n")
	slip := strings.Replace(circuit, before[1:], after[1:], 1)
	_, problems = read.Circuit("boom.circuit.toml", []byte(slip))
	path := 1 + strings.Count(slip[:strings.Index(slip, after[1:])], "\n")
	found := false
	for _, p := range problems {
		found = found || p.What == strings.TrimSpace(blocks["text"][0]) && p.Line < path && p.Line >= path-3
	}
	if slip == circuit || !found {
		t.Errorf("the slip is told as:\n%v", problems)
	}
}
