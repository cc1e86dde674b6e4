package report

import (
	_ "embed"

	"ohmtrail/cmd/internal/phrase"
)

//go:embed words.toml
var wordsText string

// words are the texts of a report.
var words = phrase.Read(wordsText)

func say(key string, pairs ...string) string   { return words.Say(key, pairs...) }
func listed(items []string) string             { return words.Joined("and", items) }
func joined(key string, items []string) string { return words.Joined(key, items) }
func counted(n int, one, many string) string   { return words.Counted(n, one, many) }

// sentence gives words a capital.
func sentence(s string) string {
	if s != "" && s[0] >= 'a' && s[0] <= 'z' {
		return string(s[0]-'a'+'A') + s[1:]
	}
	return s
}
