package report

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
)

// sources are the package's own files, parsed.
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
			for _, name := range n.Names {
				_ = name
			}
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

// TestWordsAreComplete holds the keys that the code asks for against those of the words file: none is missing, none is
// there for nothing.
func TestWordsAreComplete(t *testing.T) {
	asked := map[string]bool{}
	for _, f := range sources(t) {
		for _, s := range literals(f) {
			if _, there := words[s]; there {
				asked[s] = true
			}
		}
	}
	for _, verb := range []string{"verified", "unverified", "failed", "todo"} { // the code puts these keys together
		for _, kind := range []string{"joint", "part"} {
			if _, there := words["plain."+verb+"."+kind]; !there {
				t.Errorf("words.toml lacks plain.%s.%s", verb, kind)
			}
			asked["plain."+verb+"."+kind] = true
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
	keyLike := regexp.MustCompile(`^(title|first|head|facts|concern|plain|kind|trade|readings|state|lead|reasoning|sure|correction|repair|after|short|count|verify)\.[a-z_.]+[a-z_]$`)
	for name, f := range sources(t) {
		for _, s := range literals(f) {
			if keyLike.MatchString(s) && words[s] == "" {
				t.Errorf("%s asks for %q, which words.toml lacks", name, s)
			}
		}
	}
}

// TestWordsAreInOnePlace: no sentence of a report stands in the code. Messages about a file of rules are for the
// person at the keyboard and names of programs are no words.
func TestWordsAreInOnePlace(t *testing.T) {
	for name, f := range sources(t) {
		if name == "rules.go" {
			continue
		}
		for _, s := range literals(f) {
			if regexp.MustCompile(`[a-z]{2,} [a-z]{2,}`).MatchString(s) && !strings.HasPrefix(s, "words.toml") && !contains(afterNames[:], s) && s != "not judged" {
				t.Errorf("%s holds the words %q", name, s)
			}
		}
	}
}

func contains(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}

// comesAndGoes is a job whose fault comes and goes, with a reading that was taken again.
const comesAndGoes = "format = 1\ncircuit = \"library:coolant-temperature\"\nintermittent = true\n[assume]\nECT = 20\n" +
	"[[reading]]\nat = \"ECU:A12\"\nscan_volts = [3.57, 4.995]\nwiggle = \"C101\"\n" +
	"[[reading]]\nat = \"ECU:A12\"\nscan_volts = 3.57\n[[reading]]\nat = \"ECU:A12\"\nscan_volts = 4.2\nsymptom = \"there\"\n"

// TestFaultByTurnsIsSaid: the values of a fault that comes and goes stand beside readings at which it was away.
func TestFaultByTurnsIsSaid(t *testing.T) {
	stays := strings.Replace(comesAndGoes, "intermittent = true", "", 1)
	for text, want := range map[string]bool{comesAndGoes: true, stays: false} {
		r := reportOf(t, "x.job.toml", text)
		if got := strings.Contains(string(r.Markdown()), "while it is away a reading is as on a healthy machine"); got != want {
			t.Errorf("the report says %t that the fault comes and goes, want %t", got, want)
		}
	}
}

// TestCodeOfAFaultThatIsAway: no part is named to the customer where only a code is wrong, and the report says what the code is
// evidence of, as rank does.
func TestCodeOfAFaultThatIsAway(t *testing.T) {
	const job = "format = 1\ncircuit = \"library:coolant-temperature\"\ncodes = [\"P0118\"]\n[assume]\nECT = 20\n" +
		"[[reading]]\nat = \"ECU:A12\"\nscan_volts = 3.57\n"
	for more, want := range map[string]string{
		"[[reading]]\nat = \"ECT:1\"\nvolts = 3.56\n": "Nothing that is there now explains P0118: evidence of a fault that comes and goes, most likely ",
		"": "Nothing that is there now explains P0118: ",
	} {
		r := reportOf(t, "x.job.toml", job+more)
		text := string(drawingData.ReplaceAll(r.Markdown(), nil))
		if !strings.Contains(text, want) || !strings.Contains(text, "NOT PROVEN: no fault found") {
			t.Errorf("the report does not say %q:\n%s", want, text)
		}
		if strings.Contains(text, "most likely the") || strings.Contains(text, "most likely one") {
			t.Errorf("a part is named to the customer:\n%s", text)
		}
	}
}

// TestFewOddsAreNoFinding: what holds less than half is not called the cause.
func TestFewOddsAreNoFinding(t *testing.T) {
	r := reportOf(t, "mast-height-start.job.toml", demoText(t, "mast-height-start.job.toml"))
	text := string(drawingData.ReplaceAll(r.Markdown(), nil))
	if !strings.Contains(text, "several places are still possible") || strings.Contains(text, "most likely the") || strings.Contains(text, "most likely one") {
		t.Errorf("25 %% is told to the customer as likely:\n%s", text)
	}
}

// TestEveryNameIsFilledIn: no report shows a name in braces.
func TestEveryNameIsFilledIn(t *testing.T) {
	texts := demoJobs(t)
	texts["squib.job.toml"], texts["coolant"], texts["lamp"], texts["x.job.toml"] = squibJob, readBack, lampJob, comesAndGoes
	for name, text := range texts {
		r := reportOf(t, name, text)
		plain := strings.ReplaceAll(string(drawingData.ReplaceAll(r.Markdown(), nil)), `\`, "") + r.Short()
		if m := regexp.MustCompile(`\{[a-z_]+\}`).FindString(plain); m != "" {
			t.Errorf("%s is not filled in", m)
		}
	}
}

func TestShellWord(t *testing.T) {
	for name, want := range map[string]string{"a/b-1.job.toml": "a/b-1.job.toml", "my job.toml": "'my job.toml'", "$(x).toml": "'$(x).toml'", "it's.toml": `'it'\''s.toml'`, "": "''"} {
		if got := shellWord(name); got != want {
			t.Errorf("%q is written %s, not %s", name, got, want)
		}
	}
}
