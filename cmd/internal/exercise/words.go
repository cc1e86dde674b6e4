package exercise

import (
	_ "embed"
	"strings"

	"github.com/BurntSushi/toml"
)

//go:embed words.toml
var wordsText string

// words are the words of exercises, from words.toml.
var words = loadWords()

// seenWords are the words of an inspection, by what a job file calls it.
var seenWords = words.Seen

type wordBook struct {
	Complaint map[string][]string
	Seen      map[string]string
	Question  []questionWords
}

type questionWords struct{ About, Ask, Yes, No string }

func loadWords() wordBook {
	var w wordBook
	if _, err := toml.Decode(wordsText, &w); err != nil {
		panic("exercise: words.toml: " + err.Error()) // our own file
	}
	return w
}

// say fills one of the phrases of a class in; which one is chosen by n.
func (w wordBook) say(class string, n uint64, fill ...string) string {
	phrases := w.Complaint[class]
	return strings.NewReplacer(fill...).Replace(phrases[n%uint64(len(phrases))])
}
