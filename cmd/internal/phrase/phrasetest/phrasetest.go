// Package phrasetest holds the code of a package against its file of words. For tests alone.
package phrasetest

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"regexp"
	"sort"
	"strconv"
	"strings"
	"testing"

	"ohmtrail/cmd/internal/phrase"
)

// sources are the own files of the package under test, parsed.
func sources(t *testing.T) map[string]*ast.File {
	t.Helper()
	names, err := fs.Glob(os.DirFS("."), "*.go")
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]*ast.File{}
	for _, name := range names {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		out[name] = f
	}
	return out
}

// literals are the texts in quotes of a file, import paths and tags left away.
func literals(f *ast.File) []string {
	var out []string
	ast.Inspect(f, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.ImportSpec:
			return false
		case *ast.Field:
			return n.Tag == nil
		case *ast.BasicLit:
			if n.Kind == token.STRING {
				if s, err := strconv.Unquote(n.Value); err == nil {
					out = append(out, s)
				}
			}
		}
		return true
	})
	return out
}

// Complete holds the keys that the code asks for against those of the book: none is missing, none is there for nothing.
// composed are keys that the code puts together.
func Complete(t *testing.T, words phrase.Book, composed ...string) {
	t.Helper()
	asked := map[string]bool{}
	for _, key := range composed {
		if _, there := words[key]; !there {
			t.Errorf("the file of words lacks %s", key)
		}
		asked[key] = true
	}
	tables := map[string]bool{}
	for key := range words {
		if table, _, ok := strings.Cut(key, "."); ok {
			tables[table] = true
		}
	}
	keyLike := regexp.MustCompile(`^[a-z]+\.[a-z_.]+[a-z_]$`)
	for name, f := range sources(t) {
		for _, s := range literals(f) {
			if _, there := words[s]; there {
				asked[s] = true
				continue
			}
			if table, _, _ := strings.Cut(s, "."); keyLike.MatchString(s) && tables[table] && !strings.HasSuffix(s, ".toml") {
				t.Errorf("%s asks for %q, which the file of words lacks", name, s)
			}
		}
	}
	var unused []string
	for key := range words {
		if !asked[key] {
			unused = append(unused, key)
		}
	}
	sort.Strings(unused)
	if len(unused) > 0 {
		t.Errorf("nothing asks for %q", unused)
	}
}

// InOnePlace wants no sentence in the code; but says which texts and files are none of the paper's.
func InOnePlace(t *testing.T, but func(file, text string) bool) {
	t.Helper()
	twoWords := regexp.MustCompile(`[a-z]{2,} [a-z]{2,}`)
	for name, f := range sources(t) {
		for _, s := range literals(f) {
			if twoWords.MatchString(s) && !but(name, s) {
				t.Errorf("%s holds the words %q", name, s)
			}
		}
	}
}
