package view

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/models"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/rank"
)

// poorFit is the fit below which the file or the meter is doubted before any fault (format.md, section 5).
const poorFit = 0.01

// LearnedJSON is what the readings tell of one of the machine's own numbers.
type LearnedJSON struct {
	What    string `json:"what"`
	Nominal Amount `json:"nominal"`
	Low     Amount `json:"low"`
	High    Amount `json:"high"`
}

// LearnedOf is what a ranking has learned of the machine, for programs.
func LearnedOf(r *rank.Ranking) []LearnedJSON {
	out := []LearnedJSON{}
	for _, l := range r.Learned {
		out = append(out, LearnedJSON{What: l.What, Nominal: Amount(l.Nominal), Low: Amount(l.Low), High: Amount(l.High)})
	}
	return out
}

// fitWords doubt the file or the meter where the readings together lie too far off the leading fault; "" where they do not.
func fitWords(r *rank.Ranking) string {
	if !FitIsPoor(r) {
		return ""
	}
	return "the file or the meter does not fit this machine (fewer than 1 in 100 like it with the leading fault would lie so far off all readings together): " +
		"hold the circuit file against the machine, and the meter and the battery against another meter, before a part is condemned"
}

// FitIsPoor tells whether the file or the meter is doubted before any fault.
func FitIsPoor(r *rank.Ranking) bool { return len(r.Taken) > 0 && r.Fit < poorFit }

// Learned is what the readings tell of one number, and whether the file should be changed.
func Learned(l evidence.Learned) string {
	unit := numberUnit(l.Parameter.Key)
	low, high, nominal := models.SI(l.Low, unit), models.SI(l.High, unit), models.SI(l.Nominal, unit)
	between := low + " to " + high
	if number, same := strings.CutSuffix(low, high[strings.LastIndex(high, " "):]); same {
		between = number + " to " + high
	}
	if low == high {
		between = low
	}
	if l.Parameter.Place == circuits.BPositive {
		return fmt.Sprintf("%s is %s today (%s in the file)", l.What, between, nominal)
	}
	if Outside(l) {
		return fmt.Sprintf("%s is %s, not %s: the file should say so", l.What, between, nominal)
	}
	return fmt.Sprintf("%s is %s (%s in the file)", l.What, between, nominal)
}

// Outside tells whether the file's number is none that the readings leave.
func Outside(l evidence.Learned) bool { return l.Nominal < l.Low || l.Nominal > l.High }

// numberUnit is the unit that the name of a number ends in.
func numberUnit(key string) string {
	switch {
	case strings.HasSuffix(key, "volts"):
		return "V"
	case strings.HasSuffix(key, "_ma"):
		return "mA"
	case strings.HasSuffix(key, "_pct"):
		return "%"
	case strings.Contains(key, "ohms"):
		return "Ω"
	}
	return ""
}

// LearnedAnswerJSON is what a job's readings tell of the machine, and where it was written.
type LearnedAnswerJSON struct {
	Learned []LearnedJSON `json:"learned"`
	Fit     Amount        `json:"fit"`
	Written string        `json:"written,omitempty"` // the circuit file that was changed
}

// LearnedAnswer is the answer of `ohmtrail learned` for programs.
func LearnedAnswer(r *rank.Ranking, written string) LearnedAnswerJSON {
	return LearnedAnswerJSON{Learned: LearnedOf(r), Fit: Amount(r.Fit), Written: written}
}

// LearnedPage is the answer of `ohmtrail learned` for people.
func LearnedPage(p Page, r *rank.Ranking, written string) string {
	var b strings.Builder
	if words := fitWords(r); words != "" {
		b.WriteString(p.paragraph("", sentence(words)) + "\n")
	}
	text := LearnedText(p, r)
	if text == "" {
		text = p.paragraph("", "The readings tell nothing new of this machine's own numbers. Readings of a sound machine beside it (sound = true) tell most.")
	}
	b.WriteString(text)
	if written != "" {
		b.WriteString("\n" + p.paragraph("", "Written into "+written+"."))
	}
	return b.String()
}

// WrittenRange is a range as a circuit file has it, to three digits that hold it.
func WrittenRange(low, high float64) string {
	round := func(x float64, to func(float64) float64) string {
		if x == 0 {
			return "0"
		}
		step := math.Pow(10, math.Floor(math.Log10(math.Abs(x)))-2)
		plain, _ := strconv.ParseFloat(strconv.FormatFloat(to(x/step)*step, 'g', 4, 64), 64) // without what rounding left
		return strconv.FormatFloat(plain, 'f', -1, 64)
	}
	return "[" + round(low, math.Floor) + ", " + round(high, math.Ceil) + "]"
}

// LearnedText lists what the readings tell of the machine; "" where they tell nothing.
func LearnedText(p Page, r *rank.Ranking) string {
	if len(r.Learned) == 0 {
		return ""
	}
	var b strings.Builder
	b.WriteString(p.strong("Learned of this machine") + "\n")
	for _, l := range r.Learned {
		b.WriteString(p.paragraph("  ", Learned(l)))
	}
	return b.String()
}
