package page_test

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

var imported = regexp.MustCompile(`from "\./([a-z]+\.js)"`)

// TestScriptsImportInNoCircle follows the imports of each page's scripts: every script imports only what stands below it,
// every name is there once, and those that pages share import none of a page's own.
func TestScriptsImportInNoCircle(t *testing.T) {
	for _, own := range []string{"../web/assets", "../class/assets"} {
		imports := map[string][]string{}
		for _, folder := range []string{"assets", own} {
			files, err := filepath.Glob(filepath.Join(folder, "*.js"))
			if err != nil || len(files) == 0 {
				t.Fatalf("%s: no scripts (%v)", folder, err)
			}
			for _, file := range files {
				text, err := os.ReadFile(file)
				if err != nil {
					t.Fatal(err)
				}
				name := filepath.Base(file)
				if imports[name] != nil {
					t.Errorf("%s is there twice", name)
				}
				imports[name] = []string{}
				for _, found := range imported.FindAllStringSubmatch(string(text), -1) {
					imports[name] = append(imports[name], found[1])
				}
			}
			for name, list := range imports {
				for _, other := range list {
					if imports[other] == nil {
						if _, err := os.Stat(filepath.Join(own, other)); err != nil || folder == "assets" {
							t.Errorf("%s imports %s, which is not below it", name, other)
						}
					}
				}
			}
		}
		var follow func(way []string)
		done := map[string]bool{}
		follow = func(way []string) {
			last := way[len(way)-1]
			for _, name := range way[:len(way)-1] {
				if name == last {
					t.Fatalf("a circle: %s", strings.Join(way, " > "))
				}
			}
			if done[last] {
				return
			}
			for _, other := range imports[last] {
				follow(append(way[:len(way):len(way)], other))
			}
			done[last] = true
		}
		for name := range imports {
			follow([]string{name})
		}
	}
}
