package main

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"sort"
	"strconv"
	"strings"

	"github.com/agnivade/levenshtein"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/files"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/solver/plan"
)

// stepWord is a word that a session knows beside values.
type stepWord struct {
	name, wants, does string
	do                func(s *stepping, rest string) error
}

// stepWords are the words of a session in the order in which help lists them. It is a function, for help lists itself.
func stepWords() []stepWord {
	return []stepWord{
		{"skip", "", "leave this reading; it is not offered again in this session", (*stepping).skip},
		{"take", "N", "take reading N of the list instead", (*stepping).choose},
		{"list", "", "the readings taken, and those worth taking", (*stepping).list},
		{"why", "", "hold the leading faults against the readings", (*stepping).why},
		{"tried", "PLACE RESULT", "a place put right, and the symptom remains, is gone or changed", (*stepping).tried},
		{"note", "TEXT", "a note for the next value", (*stepping).keepNote},
		{"undo", "", "take the last entry of this session out of the file", (*stepping).undo},
		{"draw", "FILE", "draw the circuit with its suspects, as .svg, .png or .dot", (*stepping).draw},
		{"help", "", "this list", (*stepping).help},
		{"quit", "", "end; all is written already", nil},
	}
}

// take carries out one line.
func (s *stepping) take(line string) (quit bool, err error) {
	word, rest, _ := strings.Cut(line, " ")
	word = strings.ToLower(word)
	switch word {
	case "":
		return false, s.show()
	case "q", "exit":
		word = "quit"
	case "?", "h":
		word = "help"
	}
	for _, w := range stepWords() {
		switch {
		case w.name != word:
		case w.do == nil:
			return true, nil
		case w.wants == "" && strings.TrimSpace(rest) != "":
			return false, s.say(fmt.Sprintf("%s stands alone.", w.name))
		case w.wants != "" && strings.TrimSpace(rest) == "":
			return false, s.say(fmt.Sprintf("Write %s %s.", w.name, w.wants))
		default:
			return false, w.do(s, strings.TrimSpace(rest))
		}
	}
	return false, s.value(line, word)
}

// say prints a paragraph.
func (s *stepping) say(words string) error { return s.d.text(s.d.page.Paragraph(words)) }

// value writes a typed value into the job file and shows what it moved. A value that is no good is explained, and the
// reading asked for again.
func (s *stepping) value(line, word string) error {
	if len(s.offered) == 0 {
		return s.say("There is no reading to take here: " + nearWord(word, "why, list, undo, draw FILE or quit."))
	}
	r, err := view.Typed(s.offered[s.now].Reading, s.job.Meter, line)
	if err != nil {
		return s.say(nearWord(word, sentenceOf(err.Error())))
	}
	r.Note = s.note
	if x, odd := plan.Surprised(&s.view.Ranking, s.offered[s.now], r); odd && line != s.doubted {
		s.doubted = line
		return s.say(s.view.Surprise(s.offered[s.now], r, x) + " Measure again, and type what it shows; the same again is taken as it is.")
	}
	text, err := files.Read(s.name, nil)
	if err != nil {
		return s.say(sentenceOf(err.Error()))
	}
	check := &parsed{text: text, from: linesOf(text.Body), confirm: line == s.doubted}
	s.doubted = ""
	added, err := files.Append(s.name, files.ReadingBlock(r), check.usable)
	var doubt errDoubt
	switch {
	case errors.As(err, &doubt):
		s.doubted = line
		var words []string
		for _, w := range doubt.warnings {
			words = append(words, sentenceOf(w.What+"; "+w.Hint))
		}
		return s.say(strings.Join(words, " ") + " Type it again if it is so, or the right value.")
	case err != nil:
		return s.refused("Not written: the job could not be used with it. The file is as it was.", err)
	}
	s.added = append(s.added, kept{Addition: added})
	s.note = ""
	return s.moved(check.job)
}

// refused says why a change of the file was not made.
func (s *stepping) refused(words string, err error) error {
	if e := s.say(words); e != nil {
		return e
	}
	return s.d.text(err.Error() + "\n")
}

// moved ranks the changed job, shows how the odds moved, and goes on to the next reading.
func (s *stepping) moved(j *circuits.Job) error {
	before := s.view
	s.rank(j)
	s.view.Before = before.Plan.Remaining
	if err := s.d.text("\n" + view.Moved{Before: before.Ranking, After: s.view.Ranking}.Text(s.d.page)); err != nil {
		return err
	}
	if err := s.state(); err != nil {
		return err
	}
	return s.show()
}

// open shows the job as it stands, and the first reading.
func (s *stepping) open() error {
	if err := s.d.text(s.view.Head(s.d.page)); err != nil {
		return err
	}
	if err := s.state(); err != nil {
		return err
	}
	return s.show()
}

// state says whether all is done and why, and the advice that was not given yet.
func (s *stepping) state() error {
	v := s.view
	v.Advice = nil
	for _, a := range s.view.Advice {
		if !slices.Contains(s.advice, a) {
			v.Advice = append(v.Advice, a)
		}
	}
	s.advice = append(s.advice, v.Advice...)
	return s.d.text("\n" + v.State(s.d.page))
}

// show shows the reading to take now.
func (s *stepping) show() error {
	if len(s.offered) == 0 {
		if len(s.skipped) > 0 {
			return s.say("\nNothing else is worth reading but what was skipped.")
		}
		return nil
	}
	return s.d.text("\n" + s.view.Offer(s.d.page, s.offered[s.now], len(s.job.Readings)+1))
}

func (s *stepping) skip(string) error {
	if len(s.offered) == 0 {
		return s.say("There is no reading to skip.")
	}
	s.skipped[circuits.ReadingKey(s.offered[s.now].Reading)] = true
	s.doubted = ""
	s.offer()
	return s.show()
}

func (s *stepping) choose(rest string) error {
	n, err := strconv.Atoi(rest)
	if err != nil || n < 1 || n > len(s.offered) {
		return s.say(fmt.Sprintf("%q is none of the %d readings of the list.", rest, len(s.offered)))
	}
	s.now, s.doubted = n-1, ""
	return s.show()
}

func (s *stepping) list(string) error { return s.d.text(s.view.List(s.d.page, s.offered, s.now)) }

func (s *stepping) why(string) error {
	r := view.Ranked{Ranking: s.view.Ranking, Why: view.Leading(s.view.Ranking)}
	return s.d.text("\n" + r.WhyText(s.d.page) + "\n")
}

func (s *stepping) keepNote(rest string) error {
	s.note = rest
	return s.say("It will stand with the next value.")
}

// tried writes what was done about the symptom into the job file, and shows what that moved.
func (s *stepping) tried(rest string) error {
	words := strings.Fields(rest)
	const usage = "Write tried C7:3 remains, gone or changed, and behind it what was done."
	if len(words) < 2 || !slices.Contains(circuits.Results(), strings.ToLower(words[1])) {
		return s.say(usage)
	}
	at, err := s.job.Circuit.Somewhere(words[0])
	if err != nil {
		return s.say(sentenceOf(err.Error()))
	}
	text, err := files.Read(s.name, nil)
	if err != nil {
		return s.say(sentenceOf(err.Error()))
	}
	check := &parsed{text: text, from: linesOf(text.Body), confirm: true}
	t := circuits.Tried{At: at, Result: circuits.Result(strings.ToLower(words[1])), Done: strings.Join(words[2:], " ")}
	added, err := files.Append(s.name, files.TriedBlock(t), check.usable)
	if err != nil {
		return s.refused("Not written: the job could not be used with it. The file is as it was.", err)
	}
	s.added = append(s.added, kept{added, true})
	s.doubted = ""
	return s.moved(check.job)
}

// undo takes the last entry that this session wrote out of the file again.
func (s *stepping) undo(string) error {
	if len(s.added) == 0 {
		return s.say("Nothing to take back: this session has written nothing.")
	}
	text, err := files.Read(s.name, nil)
	if err != nil {
		return s.say(sentenceOf(err.Error()))
	}
	check := &parsed{text: text, from: math.MaxInt}
	if err := s.added[len(s.added)-1].TakeBack(check.usable); err != nil {
		return s.refused("Not taken back. The file is as it was.", err)
	}
	s.added = s.added[:len(s.added)-1]
	s.doubted = ""
	if err := s.say("Taken back."); err != nil {
		return err
	}
	return s.moved(check.job)
}

// draw writes a picture of the job as it stands.
func (s *stepping) draw(file string) error {
	if file == files.Stdin {
		return s.say("Name a picture: draw FILE.svg.")
	}
	render, err := renderer(file)
	if err != nil {
		return s.say(sentenceOf(err.Error()))
	}
	picture, err := render(s.job.Circuit, view.Marks(s.view.Ranking))
	if err == nil {
		err = files.Replace(file, picture)
	}
	if err != nil {
		return s.say(sentenceOf(err.Error()))
	}
	return s.say("Wrote " + file + ".")
}

func (s *stepping) help(string) error {
	var b strings.Builder
	b.WriteString("Type the value as the meter shows it: 4.98, 4,98, 980m, 4k7, OL, or two of a reading that moved: 1.9 4.98\n")
	for _, w := range stepWords() {
		fmt.Fprintf(&b, "  %-18s %s\n", strings.TrimSpace(w.name+" "+w.wants), w.does)
	}
	return s.d.text(b.String())
}

// nearWord asks whether a session's word was meant, where what was typed is near one and begins like it.
func nearWord(typed, otherwise string) string {
	for _, w := range stepWords() {
		if len(typed) > 2 && typed[0] == w.name[0] && 2*levenshtein.ComputeDistance(typed, w.name) <= len(w.name) {
			return fmt.Sprintf("%q: did you mean %s?", typed, w.name)
		}
	}
	return otherwise
}

// sentenceOf makes a sentence of an error's words.
func sentenceOf(words string) string {
	words = strings.TrimSuffix(strings.TrimSuffix(words, "; "), ".")
	if words != "" && words[0] >= 'a' && words[0] <= 'z' {
		words = strings.ToUpper(words[:1]) + words[1:]
	}
	if strings.HasSuffix(words, "?") {
		return words
	}
	return words + "."
}

// byWorth sorts readings by information a minute, the best first.
func byWorth(list []plan.Suggestion) {
	sort.SliceStable(list, func(a, b int) bool { return list[a].GainBits/list[a].Minutes > list[b].GainBits/list[b].Minutes })
}
