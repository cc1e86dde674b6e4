package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// manual are the pages whose examples are held against the program, from this folder.
var manual = []string{"../../README.md", "../../DEVELOPERS.md", "format.md", "guide.md"}

// fence is a fenced block of a page: its language and its lines.
var fence = regexp.MustCompile("(?ms)^```(\\w*)\n(.*?)^```$")

// TestManual runs every `$ ohmtrail …` line of the manual in a copy of the demo and compares what it prints; -update
// rewrites the pages.
func TestManual(t *testing.T) {
	for _, page := range manual {
		t.Run(filepath.Base(page), func(t *testing.T) {
			text, err := os.ReadFile(page)
			if err != nil {
				t.Fatal(err)
			}
			file, err := filepath.Abs(page)
			if err != nil {
				t.Fatal(err)
			}
			folder := t.TempDir()
			if err := os.CopyFS(filepath.Join(folder, "testdata", "demo"), os.DirFS("../../testdata/demo")); err != nil {
				t.Fatal(err)
			}
			t.Chdir(folder)
			writeShown(t, text)
			ran := fence.ReplaceAllFunc(text, func(block []byte) []byte { return runBlock(t, block) })
			switch {
			case bytes.Equal(ran, text):
			case *update:
				if err := os.WriteFile(file, ran, 0o644); err != nil {
					t.Fatal(err)
				}
			default:
				t.Errorf("%s differs from what the program prints (go test ./cmd/ohmtrail -update rewrites it):\n%s", page, difference(text, ran))
			}
		})
	}
}

// writeShown writes the files that a page shows: a toml or csv block that begins with `# NAME` is that file.
func writeShown(t *testing.T, page []byte) []string {
	var names []string
	for _, m := range fence.FindAllSubmatch(page, -1) {
		head, _, _ := strings.Cut(string(m[2]), "\n")
		name, named := strings.CutPrefix(head, "# ")
		if !named || filepath.Ext(name) != "."+string(m[1]) || strings.ContainsAny(name, " /") {
			continue
		}
		if err := os.WriteFile(name, m[2], 0o644); err != nil {
			t.Fatal(err)
		}
		names = append(names, name)
	}
	return names
}

// runBlock is a fenced block with its commands run again. A block without a command stays as it is.
func runBlock(t *testing.T, block []byte) []byte {
	lines := strings.Split(strings.TrimSuffix(string(block), "\n"), "\n")
	var out []string
	running := false
	for i, line := range lines {
		command, ok := strings.CutPrefix(line, "$ ohmtrail ")
		switch {
		case ok:
			running = true
			var stdout, stderr bytes.Buffer
			args := words(command)
			status := run(args, strings.NewReader(""), &stdout, &stderr)
			said := stderr.String() + stdout.String()
			if status != done && stderr.Len() == 0 {
				t.Errorf("%s: exit status %d without a word", line, status)
			}
			out = append(out, line)
			if said != "" {
				out = append(out, strings.TrimSuffix(said, "\n"))
			}
		case i == len(lines)-1 || !running:
			out = append(out, line)
		case strings.HasPrefix(line, "$ "):
			t.Errorf("%s: a block with ohmtrail commands runs no others", line)
		}
	}
	return []byte(strings.Join(out, "\n"))
}

// words parts a command line as a shell does, with quotes of both kinds.
func words(line string) []string {
	var out []string
	for _, m := range regexp.MustCompile(`'([^']*)'|"([^"]*)"|(\S+)`).FindAllStringSubmatch(line, -1) {
		out = append(out, m[1]+m[2]+m[3])
	}
	return out
}

// difference is the first lines in which two texts part.
func difference(want, got []byte) string {
	a, b := strings.Split(string(want), "\n"), strings.Split(string(got), "\n")
	i := 0
	for i < len(a) && i < len(b) && a[i] == b[i] {
		i++
	}
	return fmt.Sprintf("from line %d on\n-%s\n+%s", i+1, strings.Join(a[i:min(i+4, len(a))], "\n-"), strings.Join(b[i:min(i+4, len(b))], "\n+"))
}

// TestManualFiles checks the files that the manual shows: a toml block that begins with `# NAME.toml` is that file.
func TestManualFiles(t *testing.T) {
	folder := t.TempDir()
	var pages [][]byte
	for _, page := range manual {
		text, err := os.ReadFile(page)
		if err != nil {
			t.Fatal(err)
		}
		pages = append(pages, text)
	}
	t.Chdir(folder)
	var names []string
	for _, text := range pages {
		for _, name := range writeShown(t, text) {
			if filepath.Ext(name) == ".toml" {
				names = append(names, name)
			}
		}
	}
	if len(names) < 3 {
		t.Fatalf("only %q of the manual's files were found", names)
	}
	var stdout, stderr bytes.Buffer
	if status := run(append([]string{"check"}, names...), nil, &stdout, &stderr); status != done || stderr.Len() > 0 {
		t.Errorf("exit status %d\n%s", status, stderr.String())
	}
}
