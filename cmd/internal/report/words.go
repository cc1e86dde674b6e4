package report

import (
	_ "embed"
	"strconv"
	"strings"

	"github.com/BurntSushi/toml"
)

//go:embed words.toml
var wordsText string

// words are the texts of a report by key, such as "first.proven".
var words = readWords(wordsText)

func readWords(text string) map[string]string {
	tree := map[string]any{}
	if _, err := toml.Decode(text, &tree); err != nil {
		panic("words.toml: " + err.Error()) // compiled in
	}
	out := map[string]string{}
	flatten(out, "", tree)
	return out
}

func flatten(out map[string]string, prefix string, tree map[string]any) {
	for k, v := range tree {
		switch v := v.(type) {
		case string:
			out[prefix+k] = v
		case map[string]any:
			flatten(out, prefix+k+".", v)
		}
	}
}

// say fills a text in: say("first.proven", "fault", name, …). What is filled in is never searched for names again.
func say(key string, pairs ...string) string {
	text, ok := words[key]
	if !ok {
		panic("words.toml lacks " + key) // our mistake: a test holds keys and text against each other
	}
	var replace []string
	for i := 0; i+1 < len(pairs); i += 2 {
		replace = append(replace, "{"+pairs[i]+"}", pairs[i+1])
	}
	return strings.NewReplacer(replace...).Replace(text)
}

// listed joins a list: "a, b and c".
func listed(items []string) string { return joined("and", items) }

func joined(key string, items []string) string {
	n := len(items)
	if n < 2 {
		return strings.Join(items, "")
	}
	return say(key, "list", strings.Join(items[:n-1], ", "), "last", items[n-1])
}

// counted says how many of a thing there are; one and many are keys.
func counted(n int, one, many string) string {
	if n == 1 {
		return say(one)
	}
	return say(many, "n", strconv.Itoa(n))
}

// sentence gives words a capital.
func sentence(s string) string {
	if s != "" && s[0] >= 'a' && s[0] <= 'z' {
		return string(s[0]-'a'+'A') + s[1:]
	}
	return s
}
