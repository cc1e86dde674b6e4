package report

import (
	"bytes"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/circuits/read"
	"ohmtrail/cmd/internal/paper"
	"ohmtrail/solver/rank"
)

// hostile are texts that somebody may write into any field of a job.
var hostile = []string{
	`<script>alert(1)</script><img src=x onerror=alert(1)>"'`,
	"](javascript:alert(1)) ![x](https://example.org/a.png) [a]: https://example.org www.example.org",
	"| a | b |\n# heading\n- point\n```\n{fault} {{.}} {page} %s",
	"שלום עולם \u202eback\u202c مرحبا",
	"😀👍🏽👩\u200d🔧 漢字 \U0010ffff e\u0301",
	"\u0001\u001b[31mred\u0007\u007f\u0085\ufeff tab\tend",
	strings.Repeat("W", 10000),
	strings.Repeat("many words ", 3000),
}

// hostileJob has a text in every field that takes any.
func hostileJob(s string) string {
	q := quoted(s)
	return "format = 1\ncircuit = \"x.circuit.toml\"\nmachine = " + q + "\ncomplaint = " + q + "\ncodes = [" + q + "]\n" +
		"[assume]\nECT = 90\n[[reading]]\nat = \"ECU:A12\"\nscan_volts = 4.96\nnote = " + q + "\n" +
		"[writeup]\nauthor = " + q + "\nworkshop = " + q + "\ncustomer = " + q + "\nreproduced = " + q + "\nminutes = { " + q + " = 3 }\n" +
		"[repair]\nat = \"C101:7\"\ndone = " + q + "\nwhy_failed = " + q + "\nneighbours = " + q + "\nretested = " + q + "\ncodes_after = [" + q + "]\n" +
		"[[verification]]\nat = \"ECT:1\"\nvolts = 0.98\nnote = " + q + "\n"
}

// hostileBoth is that job on a circuit that has the text as its title, as labels and as the name of a run.
func hostileBoth(t *testing.T, s string) *circuits.Job {
	t.Helper()
	text, err := library.Text("coolant-temperature")
	if err != nil {
		t.Fatal(err)
	}
	circuit := string(text)
	for _, name := range []string{"Engine coolant temperature, two-wire NTC", "coolant temperature sensor", "bulkhead connector", "engine control unit", "coolant temperature signal"} {
		if !strings.Contains(circuit, `"`+name+`"`) {
			t.Fatalf("the circuit has no %q", name)
		}
		circuit = strings.Replace(circuit, `"`+name+`"`, quoted(s), 1)
	}
	j, problems := read.Job("x.job.toml", []byte(hostileJob(s)), func(string) (string, []byte, error) { return "x.circuit.toml", []byte(circuit), nil })
	if j == nil {
		t.Fatal(problems)
	}
	return j
}

// quoted is a text as TOML has it.
func quoted(s string) string {
	return strings.NewReplacer(`\a`, `\u0007`, `\v`, `\u000b`, `\x01`, `\u0001`, `\x1b`, `\u001b`, `\x7f`, `\u007f`, `\x00`, `\u0000`).Replace(strconv.QuoteToASCII(s))
}

func TestHostileText(t *testing.T) {
	tag := regexp.MustCompile(`^</?(!DOCTYPE|html|head|meta|title|style|body|h[123]|p|strong|div|ol|ul|li|dl|dt|dd|table|thead|tbody|tr|th|td|figure|figcaption|section|footer|svg|rect|text|g|circle|polyline|polygon|a)\b[^<]*>$`)
	for i, s := range hostile {
		j := hostileBoth(t, s)
		r := New(j, rank.Rank(j), Options{})
		html, err := r.HTML()
		if err != nil {
			t.Fatal(err)
		}
		for _, found := range regexp.MustCompile(`<[^>]*>?`).FindAllString(string(html), -1) {
			if !tag.MatchString(found) || regexp.MustCompile(`(?i)\s(on\w+|src|href)\s*=`).MatchString(regexp.MustCompile(`"[^"]*"`).ReplaceAllString(found, "")) {
				t.Fatalf("%.30q puts the tag %.100q on the page", s, found)
			}
		}
		markdown := string(drawingData.ReplaceAll(r.Markdown(), nil))
		escaped := regexp.MustCompile(`\\.`).ReplaceAllString(markdown, "")
		for _, sign := range []string{"<", "`", "](", "://", "{"} {
			if strings.Contains(escaped, sign) {
				t.Errorf("%.30q leaves %q in the Markdown", s, sign)
			}
		}
		for _, line := range strings.Split(markdown, "\n") {
			if strings.HasPrefix(line, "|") && len(regexp.MustCompile(`[^\\]\|`).FindAllString(line, -1)) != 5+1 && len(regexp.MustCompile(`[^\\]\|`).FindAllString(line, -1)) != 7 {
				t.Errorf("%.30q: a row has other columns than its table: %.100q", s, line)
			}
		}
		for _, size := range paper.Sizes()[:1+i%2] {
			pdf, err := r.PDF(size)
			if err != nil {
				t.Fatalf("%.30q: %v", s, err)
			}
			if text, readable := textOf(t, pdf); readable && (!strings.Contains(text, "Verification") || strings.Count(text, "\f") > 9) {
				t.Errorf("%.30q: %d pages, or no end", s, strings.Count(text, "\f"))
			}
		}
		short := r.Short()
		if n := len([]rune(short)); n > ShortLetters {
			t.Errorf("%.30q: the short form has %d letters", s, n)
		}
		if i := strings.IndexFunc(short, func(c rune) bool { return unicode.IsControl(c) || unicode.Is(unicode.Bidi_Control, c) }); i >= 0 {
			t.Errorf("%.30q: the short form has the control character %q", s, short[i:i+1])
		}
		if !strings.Contains(short, "NOT PROVEN") || !strings.Contains(strings.ToLower(short), "not verified") {
			t.Errorf("%.30q: the short form says more than is proven: %s", s, short)
		}
		again, err := New(j, rank.Rank(j), Options{}).HTML()
		if err != nil || !bytes.Equal(html, again) {
			t.Errorf("%.30q: the same job gave other bytes", s)
		}
	}
}
