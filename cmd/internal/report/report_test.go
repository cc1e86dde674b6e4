package report

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/circuits/read"
	"ohmtrail/cmd/internal/paper"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/solver/rank"
)

var update = flag.Bool("update", false, "rewrite the expected reports")

const demo = "../../../testdata/demo"

// jobOf parses a job whose circuit is one of the demo's or of the library.
func jobOf(t testing.TB, name, text string) *circuits.Job {
	t.Helper()
	j, problems := read.Job(name, []byte(text), func(name string) (string, []byte, error) {
		if library.Holds(name) {
			b, err := library.Text(name)
			return name, b, err
		}
		b, err := os.ReadFile(filepath.Join(demo, name))
		return name, b, err
	})
	if j == nil {
		t.Fatal(problems)
	}
	return j
}

func demoText(t testing.TB, name string) string {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(demo, name))
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// written is a job with its ranking and its report.
type written struct {
	job     *circuits.Job
	ranking rank.Ranking
	report  Report
}

var (
	once    sync.Mutex
	already = map[string]written{} // by name and text: several tests look at the same report
)

func writtenUp(t testing.TB, name, text string) written {
	t.Helper()
	once.Lock()
	defer once.Unlock()
	w, ok := already[name+"\n"+text]
	if !ok {
		w.job = jobOf(t, name, text)
		w.ranking = rank.Rank(w.job)
		w.report = New(w.job, w.ranking, Options{})
		already[name+"\n"+text] = w
	}
	return w
}

func reportOf(t testing.TB, name, text string) Report {
	t.Helper()
	return writtenUp(t, name, text).report
}

// demoJobs are the jobs of the demo that several tests look at.
func demoJobs(t testing.TB) map[string]string {
	t.Helper()
	jobs := map[string]string{}
	for _, name := range []string{"mast-height-repaired.job.toml", "mast-height-start.job.toml"} {
		jobs[name] = demoText(t, name)
	}
	return jobs
}

// drawingData is the drawing within a Markdown report.
var drawingData = regexp.MustCompile(`base64,\S+`)

const squibJob = "format = 1\ncircuit = \"library:squib\"\nmachine = \"cab 2\"\ncomplaint = \"the lamp is on\"\n"

// TestReports holds whole reports against their expected text.
func TestReports(t *testing.T) {
	jobs := demoJobs(t)
	jobs["squib.job.toml"] = squibJob
	for name, text := range jobs {
		r := reportOf(t, name, text)
		got := drawingData.ReplaceAll(r.Markdown(), []byte("base64,…"))
		got = append(got, "\n"+r.Short()+"\n"...)
		file := filepath.Join("testdata", strings.TrimSuffix(name, ".job.toml")+".md")
		if *update {
			if err := os.WriteFile(file, got, 0o644); err != nil {
				t.Fatal(err)
			}
			continue
		}
		want, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("%s differs (go test ./cmd/internal/report -update rewrites it):\n%s", file, firstDifference(string(want), string(got)))
		}
	}
}

func firstDifference(want, got string) string {
	a, b := strings.Split(want, "\n"), strings.Split(got, "\n")
	for i := range min(len(a), len(b)) {
		if a[i] != b[i] {
			return "-" + a[i] + "\n+" + b[i]
		}
	}
	return "one of them ends earlier"
}

// unlisted are readings that no fault of a two-wire sensor gives: up and down along two wires.
const unlisted = "[[reading]]\nat = \"ECT:1\"\nvolts = 2.1\n[[reading]]\nat = \"ECU:A12\"\nvolts = 3.3\n[[reading]]\nat = \"C101:7\"\nvolts = 0.9\n" +
	"[[reading]]\nat = \"ECT:2\"\nvolts = 1.4\n[[reading]]\nat = \"C101:8\"\nvolts = 2.9\n[[reading]]\nat = \"ECU:A24\"\nvolts = 0.4\n"

// TestFirstLines: whoever reads the first lines alone must not take an unproven job for a proven one, nor a repair that
// was not verified for one that was.
func TestFirstLines(t *testing.T) {
	repaired := demoText(t, "mast-height-repaired.job.toml")
	bare, _, _ := strings.Cut(repaired, "[[verification]]")
	after := func(lines string) string { return bare + "\n[[verification]]\n" + lines }
	loaded := "at = \"MHS:1\"\nunplugged = [\"MHS\"]\nload = [{ from = \"MHS:1\", to = \"MHS:3\", ohms = 220 }]\n"
	const open, unverified, failed = "NOT PROVEN", "(?i)not verified", "DID NOT HOLD"
	for _, c := range []struct {
		name, text string
		standing   Standing
		after      After
		says       []string
		saysNot    []string
	}{
		{"proven and verified", repaired, Proven, Verified, []string{"Proven by the readings", "Verified: 2 readings"}, []string{open, unverified, failed}},
		{"no reading after", bare, Proven, NotVerified, []string{"Proven by the readings", unverified}, []string{open, "Verified:"}},
		{"failed", after(loaded + "volts = 2.4\n"), Proven, Failed, []string{failed}, []string{"Verified:"}},
		{"would read alike with the fault", after("at = \"MHS:1\"\nvolts = 5.0\nunplugged = [\"MHS\"]\n"), Proven, Unconfirmed, []string{unverified}, []string{"Verified:"}},
		{"planned", after(loaded), Proven, NotVerified, []string{unverified}, []string{"Verified:"}},
		{"ohms with the key on", after("at = \"MHS:1\"\nohms = 5\n"), Proven, Unjudged, []string{unverified}, []string{"Verified:"}},
		{"codes came back", strings.Replace(repaired, "codes_after = []", `codes_after = ["HEIGHT-LOW"]`, 1), Proven, Verified, []string{"Codes set after the repair: HEIGHT-LOW"}, nil},
		{"another place repaired", strings.Replace(repaired, `"high-resistance C7:1"`, `"open MCU:A2"`, 1), Proven, Verified, []string{"Recorded as repaired is MCU:A2, which by the readings before the repair holds <0.1"}, nil},
		{"as it came in", demoText(t, "mast-height-start.job.toml"), Unproven, NotVerified, []string{open, unverified}, []string{"Proven by", "Verified:"}},
		{"nothing measured", "format = 1\ncircuit = \"library:coolant-temperature\"\n", NothingMeasured, NotVerified, []string{open, unverified}, []string{"Proven by"}},
		{"nothing wrong", "format = 1\ncircuit = \"library:coolant-temperature\"\n[assume]\nECT = 20\n[[reading]]\nat = \"ECT:1\"\nvolts = 3.58\n", NothingFound, NotVerified, []string{open, unverified}, []string{"Proven by"}},
		{"nothing on the drawing fits", "format = 1\ncircuit = \"library:coolant-temperature\"\n[assume]\nECT = 20\n" + unlisted, NothingListed, NotVerified, []string{open, "nothing on the drawing explains", unverified}, []string{"Proven by"}},
		{"pyrotechnic", squibJob, Forbidden, NotVerified, []string{"STOP", "pyrotechnic"}, []string{"Proven by"}},
		{"pyrotechnic, repaired", squibJob + "[repair]\ndone = \"loom replaced\"\n", Forbidden, NotVerified, []string{"STOP", unverified}, []string{"Proven by"}},
	} {
		name := "x.job.toml"
		for known, text := range demoJobs(t) {
			if text == c.text {
				name = known
			}
		}
		r := reportOf(t, name, c.text)
		if r.Standing != c.standing || r.After != c.after {
			t.Errorf("%s: standing %d, after %q; want %d, %q", c.name, r.Standing, r.After, c.standing, c.after)
		}
		html, err := r.HTML()
		if err != nil {
			t.Fatal(err)
		}
		if marked := bytes.Contains(html, []byte(`class="suspect"`)); marked != (c.standing == Proven || c.standing == Unproven) {
			t.Errorf("%s: a suspect is marked on the drawing: %v", c.name, marked)
		}
		forms := map[string]string{"HTML": plainHTML(string(html)), "Markdown": strings.ReplaceAll(string(r.Markdown()), `\`, "")}
		pdf, err := r.PDF(paper.A4)
		if err != nil {
			t.Fatal(err)
		}
		if text, readable := textOf(t, pdf); readable {
			forms["PDF"] = text
		}
		for form, text := range forms {
			first, _, found := strings.Cut(text, "Machine")
			if !found {
				t.Fatalf("%s, %s: no head", c.name, form)
			}
			first = strings.Join(strings.Fields(first), " ")
			for _, s := range c.says {
				if !regexp.MustCompile(s).MatchString(first) {
					t.Errorf("%s, %s: the first lines lack %q:\n%s", c.name, form, s, first)
				}
			}
			for _, s := range c.saysNot {
				if regexp.MustCompile(s).MatchString(first) {
					t.Errorf("%s, %s: the first lines say %q:\n%s", c.name, form, s, first)
				}
			}
		}
	}
}

// plainHTML is the text of a page without its tags.
func plainHTML(s string) string {
	_, body, _ := strings.Cut(s, "<body>")
	return strings.NewReplacer("&lt;", "<", "&gt;", ">", "&amp;", "&", "&#34;", `"`, "&#39;", "'").Replace(regexp.MustCompile(`<[^>]*>`).ReplaceAllString(body, " "))
}

// TestPages: an ordinary job is three pages at the most on either paper, and its drawing is in it as text and lines.
func TestPages(t *testing.T) {
	r := reportOf(t, "mast-height-repaired.job.toml", demoText(t, "mast-height-repaired.job.toml"))
	for _, size := range paper.Sizes() {
		pdf, err := r.PDF(size)
		if err != nil {
			t.Fatal(err)
		}
		text, readable := textOf(t, pdf)
		if !readable {
			return
		}
		if pages := strings.Count(text, "\f"); pages < 1 || pages > 3 {
			t.Errorf("%s: %d pages", size.Name, pages)
		}
		for _, want := range []string{"Concern", "Cause", "Correction", "Verification", "high resistance here? >99 %", "7) 2.02 V", "mast tilt sensor"} {
			if !strings.Contains(text, want) {
				t.Errorf("%s: %q cannot be found in the file", size.Name, want)
			}
		}
		if bytes.Contains(pdf, []byte("/Subtype /Image")) {
			t.Errorf("%s: the drawing is a picture, not vectors", size.Name)
		}
		again, err := r.PDF(size)
		if err != nil || !bytes.Equal(pdf, again) {
			t.Errorf("%s: the same report gave other bytes (%v)", size.Name, err)
		}
	}
}

// TestVerificationIsNotWeighed: readings after the repair say nothing of the fault before it.
func TestVerificationIsNotWeighed(t *testing.T) {
	text := demoText(t, "mast-height-repaired.job.toml")
	bare, _, _ := strings.Cut(text, "[writeup]")
	with, without := rank.Rank(jobOf(t, "x", text)), rank.Rank(jobOf(t, "x", bare))
	if len(with.Candidates) != len(without.Candidates) || view.Verdict(&with) != view.Verdict(&without) {
		t.Fatalf("%q became %q", view.Verdict(&without), view.Verdict(&with))
	}
	for i, c := range with.Candidates {
		if c.Probability != without.Candidates[i].Probability {
			t.Fatalf("%s: %g became %g", c.Name(), without.Candidates[i].Probability, c.Probability)
		}
	}
}

func BenchmarkReport(b *testing.B) {
	j := jobOf(b, "mast-height-repaired.job.toml", demoText(b, "mast-height-repaired.job.toml"))
	for b.Loop() {
		r := New(j, rank.Rank(j), Options{})
		if _, err := r.PDF(paper.A4); err != nil {
			b.Fatal(err)
		}
	}
}
