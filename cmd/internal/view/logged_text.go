package view

import (
	"fmt"
	"strings"

	"ohmtrail/solver/levels"
	"ohmtrail/solver/recording"
)

const (
	shownJumps = 8
	shownSpans = 8
	shownLevel = 6
)

// Text is a recording for a terminal, with at most top groups of faults.
func (v Logged) Text(p Page, top int) string {
	var b strings.Builder
	b.WriteString(jobText(p, v.Ranking.Job))
	b.WriteString("\n" + p.strong("Answer") + "\n")
	for _, s := range v.Answer() {
		b.WriteString(p.paragraph("  ", s))
	}
	b.WriteString("\n" + p.strong("Recording") + "\n")
	for _, s := range v.about() {
		b.WriteString(p.paragraph("  ", s))
	}
	for i := range v.Log.Channels {
		v.channel(&b, p, i)
	}
	if len(v.Log.Follow) > 0 {
		b.WriteString("\n" + p.strong("Moved by hand") + "\n" + indented(v.followTable(p)))
		if len(v.Log.Jumps) > 0 {
			b.WriteString(p.paragraph("  ", v.followWords()))
		}
	}
	b.WriteString("\n" + p.strong("Faults") + "\n")
	b.WriteString(Ranked{Ranking: v.Ranking}.groupsText(p, top))
	v.ohmsText(&b, p)
	b.WriteString("\n" + p.strong("Not seen") + "\n")
	for _, s := range v.unseen() {
		b.WriteString(p.paragraph("  ", s))
	}
	if cautions := Cautions(v.Ranking.Job); len(cautions) > 0 {
		b.WriteString("\n" + p.strong("Caution") + "\n")
		for _, c := range cautions {
			b.WriteString(p.paragraph("  ", c))
		}
	}
	return b.String()
}

func indented(s string) string {
	lines := strings.Split(strings.TrimSuffix(s, "\n"), "\n")
	for i, l := range lines {
		if l != "" {
			lines[i] = "  " + l
		}
	}
	return strings.Join(lines, "\n") + "\n"
}

// Answer says in a few sentences whether it jumped, what the jumps follow, and which fault explains the levels.
func (v Logged) Answer() []string {
	var out []string
	for i := range v.Log.Channels {
		c := &v.Log.Channels[i]
		where := Where(c.Reading)
		switch n := len(c.Found.Jumps); {
		case len(c.Found.States) == 0:
			out = append(out, where+": no values.")
		case c.Found.Samples < levels.LeastSamples:
			out = append(out, fmt.Sprintf("%s: %s, too few to know a level.", where, count(int(c.Found.Samples), "sample", "samples")))
		case n == 0 && c.Found.SpikeCount > 0:
			out = append(out, fmt.Sprintf("%s kept to %s, but for %s of one or two samples: too short to know a level. They may be the fault's or the recorder's own.",
				where, v.level(c, c.Found.States[0].Level), count(c.Found.SpikeCount, "spike", "spikes")))
		case n == 0 && len(c.Found.States) == 1 && c.Roles[0] == levels.Moving:
			out = append(out, fmt.Sprintf("%s did not jump in %s.", where, long(c.Found.Last-c.Found.First)))
		case n == 0:
			out = append(out, fmt.Sprintf("%s did not jump in %s. It kept to %s; a jump of less than %s would not be called one.",
				where, long(c.Found.Last-c.Found.First), v.level(c, c.Found.States[0].Level), held(Value(c.Reading.Quantity, least(c)))))
		default:
			out = append(out, v.jumpedWords(c, where))
		}
		if sd, moves := c.Moves(); moves {
			out = append(out, fmt.Sprintf("It moved without jumping (by %s as a standard deviation, the noise is %s). What the sensor senses may have changed, or a filter in the module or the recorder has rounded jumps: hold the machine still, or record faster.",
				held(Value(c.Reading.Quantity, sd)), held(Value(c.Reading.Quantity, c.Found.Noise))))
		}
		if c.Doubt != "" {
			out = append(out, "Which level is the healthy one is not decided: "+c.Doubt+".")
		}
	}
	if words := v.movedWords(); words != "" {
		out = append(out, words)
	}
	if len(v.Ranking.Groups) > 0 {
		out = append(out, "With all readings of the job. "+Ranked{Ranking: v.Ranking}.verdict())
	}
	if words := v.setting(); words != "" {
		out = append(out, words)
	}
	return out
}

func (v Logged) jumpedWords(c *levels.Channel, where string) string {
	words := fmt.Sprintf("%s jumped %s", where, times(len(c.Found.Jumps)))
	if states := c.Found.States; len(states) == 2 {
		words += fmt.Sprintf(" between %s and %s", v.level(c, states[0].Level), v.level(c, states[1].Level))
	} else if len(states) > 2 {
		words += fmt.Sprintf(" between %d levels", len(states))
	}
	there, _ := c.There()
	if share := levels.Seconds(there); c.Doubt == "" && share > 0 {
		words += fmt.Sprintf("; the symptom was there for %s of %s", long(share), long(c.Found.Last-c.Found.First))
	}
	return words + "."
}

func times(n int) string {
	switch n {
	case 1:
		return "once"
	case 2:
		return "twice"
	}
	return grouped3(n) + " times"
}

func grouped3(n int) string {
	s := itoa(n)
	for at := len(s) - 3; at > 0; at -= 3 {
		s = s[:at] + nbsp + s[at:]
	}
	return s
}

// movedWords say what the jumps follow.
func (v Logged) movedWords() string {
	if len(v.Log.Follow) == 0 {
		if len(v.Log.Marks) > 0 {
			return fmt.Sprintf("No movement lies within the recording (%s), so what was moved when is not known.", v.runs())
		}
		if len(v.Log.Jumps) > 0 {
			return "What was moved when is not known: give marks (--mark 12.5-18=C7) to learn which place the jumps follow."
		}
		return ""
	}
	var named []string
	for _, f := range v.Log.Follow {
		if f.Follows() {
			named = append(named, f.Place)
		}
	}
	switch {
	case len(v.Log.Jumps) == 0 && v.wanders():
		return "Whether a movement had an effect is not known."
	case len(v.Log.Jumps) == 0:
		return "No movement made it jump."
	case len(named) == 1:
		for _, f := range v.Log.Follow {
			if f.Place == named[0] {
				return fmt.Sprintf("The jumps follow %s: %d of its %s met a jump, and %d of the %s of jumps lie within them; by chance that happens %s.", f.Place, f.Met,
					count(f.Movements, "movement", "movements"), f.Within, count(f.Bursts, "burst", "bursts"), oneIn(max(f.Corrected, f.BySpells)))
			}
		}
	case len(named) > 1:
		return "The jumps follow " + strings.Join(named, " and ") + "; they were moved too close together to be told apart, or both are bad."
	}
	return "Which movement the jumps follow is not decided." + v.moreWords()
}

// moreWords say how many more movements would decide.
func (v Logged) moreWords() string {
	best := -1
	for i, f := range v.Log.Follow {
		if f.Needed > 0 && (best < 0 || f.Corrected < v.Log.Follow[best].Corrected) {
			best = i
		}
	}
	if best < 0 {
		return ""
	}
	f := v.Log.Follow[best]
	return fmt.Sprintf(" Move %s %s more, with rests between that are twice as long and not all alike: if each makes it jump and the rests do not, that decides.", f.Place, times(f.Needed))
}

// about says what the recording is.
func (v Logged) about() []string {
	var out []string
	for _, c := range v.Log.Channels {
		f := c.Found
		words := fmt.Sprintf("%s, %s: %s in %s%s, noise %s.", v.File, quoted(c.Name)+" as "+readingWords(v.Ranking.Job.Circuit, c.Reading),
			grouped3(int(f.Samples))+" samples", long(f.Last-f.First), every(f.Interval), held(Value(c.Reading.Quantity, f.Noise)))
		if f.Missing > 0 {
			words += fmt.Sprintf(" %s without a value.", grouped3(int(f.Missing)))
		}
		out = append(out, words)
	}
	if v.Clock != "" {
		out = append(out, "Times count from "+v.Clock+".")
	}
	if words := v.outside(); words != "" {
		out = append(out, words)
	}
	return append(out, v.Notes...)
}

// every says how far apart samples are, where that is known.
func every(interval float64) string {
	if interval <= 0 {
		return ""
	}
	return ", one every" + nbsp + long(interval)
}

func quoted(s string) string { return "\u201c" + s + "\u201d" }

// channel is one recorded value: its levels, when the symptom was there, the jumps.
func (v Logged) channel(b *strings.Builder, p Page, i int) {
	c := &v.Log.Channels[i]
	if len(c.Found.States) == 0 {
		return
	}
	clock := secondsOf(c.Found.Interval)
	b.WriteString("\n" + p.strong(spaced(Where(c.Reading))) + spaced(", healthy "+between(c.Reading.Quantity, c.Healthy)) + "\n")
	t := table{head: []string{"level", "time", "times", ""}}
	total := 0.0
	for _, s := range c.Found.States {
		total += s.Seconds
	}
	for k, s := range c.Found.States[:min(shownLevel, len(c.Found.States))] {
		share := 1.0
		if total > 0 {
			share = s.Seconds / total
		}
		if len(c.Found.States) == 1 {
			share = 1
		}
		shown := Percent(share)
		if share == 1 {
			shown = "100" + nbsp + "%"
		}
		t.rows = append(t.rows, []string{v.level(c, s.Level), long(s.Seconds) + " (" + shown + ")", itoa(s.Stretches), levelWords(c.Roles[k])})
	}
	b.WriteString(indented(t.set(Page{Width: p.Width - 2})))
	if more := len(c.Found.States) - shownLevel; more > 0 {
		b.WriteString(fmt.Sprintf("  and %d more levels\n", more))
	}
	there, unclear := c.There()
	if len(there) > 0 {
		b.WriteString(p.paragraph("  Symptom there  ", spansWords(clock, there)))
	}
	if len(unclear) > 0 && len(c.Found.States) > 1 && len(there) == 0 {
		b.WriteString(p.paragraph("  Not decided  ", "when the symptom was there"))
	}
	v.jumpsText(b, p, c, clock)
	for _, g := range c.Found.Gaps[:min(len(c.Found.Gaps), shownSpans)] {
		b.WriteString(p.paragraph("  Nothing recorded  ", fmt.Sprintf("%s to %s s; %s before, %s after: whether it jumped meanwhile is not known",
			clock.at(g.From), clock.at(g.To), v.level(c, g.Before), v.level(c, g.After))))
	}
	if more := len(c.Found.Gaps) - shownSpans; more > 0 {
		b.WriteString(fmt.Sprintf("  and %d more gaps\n", more))
	}
	if c.Found.ShiftCount > 0 {
		b.WriteString(p.paragraph("  ", fmt.Sprintf("%s too small for a jump (less than %s), the first at %s s: may be the machine's own.",
			count(c.Found.ShiftCount, "small change", "small changes"), held(Value(c.Reading.Quantity, least(c))), clock.at(c.Found.Shifts[0].At))))
	}
}

func spansWords(clock seconds, spans []levels.Span) string {
	var out []string
	for _, s := range spans[:min(len(spans), shownSpans)] {
		out = append(out, clock.at(s.From)+nbsp+"to"+nbsp+clock.at(s.To)+nbsp+"s")
	}
	words := strings.Join(out, ", ")
	if more := len(spans) - shownSpans; more > 0 {
		words += fmt.Sprintf(" and %d more", more)
	}
	return words
}

func (v Logged) jumpsText(b *strings.Builder, p Page, c *levels.Channel, clock seconds) {
	var rows [][]string
	for _, j := range c.Found.Jumps[:min(len(c.Found.Jumps), shownJumps)] {
		rows = append(rows, []string{clock.at(j.To) + nbsp + "s", v.level(c, j.Before) + " to" + nbsp + v.level(c, j.After), strings.Join(v.moved(j.At()), ", ")})
	}
	if len(rows) > 0 {
		b.WriteString(indented(table{head: []string{"jump at", "from, to", "moved"}, rows: rows}.set(Page{Width: p.Width - 2})))
		if more := len(c.Found.Jumps) - shownJumps; more > 0 {
			b.WriteString(fmt.Sprintf("  and %s more (--json has all)\n", strings.ReplaceAll(grouped3(more), nbsp, " ")))
		}
	}
	rows = nil
	for _, s := range c.Found.Spikes[:min(len(c.Found.Spikes), shownJumps)] {
		rows = append(rows, []string{clock.at(s.At) + nbsp + "s", v.level(c, s.Level) + " in" + nbsp + count(int(s.Samples), "sample", "samples"), strings.Join(v.moved(s.At), ", ")})
	}
	if len(rows) > 0 {
		b.WriteString(indented(table{head: []string{"spike at", "value", "moved"}, rows: rows}.set(Page{Width: p.Width - 2})))
		if more := c.Found.SpikeCount - shownJumps; more > 0 {
			b.WriteString(fmt.Sprintf("  and %d more spikes\n", more))
		}
	}
	if c.Found.Overflow {
		b.WriteString(p.paragraph("  ", "It jumps so often that only the first 200 000 stretches are told."))
	}
}

// followTable sets each place's movements beside what chance would have brought.
func (v Logged) followTable(p Page) string {
	t := table{head: []string{"place", "moved", "met a jump", "bursts within", "by chance", "in spells", "odds"}}
	for _, f := range v.Log.Follow {
		odds := oddsWords(f.Odds)
		if len(v.Log.Jumps) == 0 && v.wanders() {
			odds = "not known"
		}
		t.rows = append(t.rows, []string{f.Place, times(f.Movements) + ", " + long(f.Seconds), fmt.Sprintf("%d of %d", f.Met, f.Movements), fmt.Sprintf("%d of %d", f.Within, f.Bursts),
			oneIn(f.ByChance), oneIn(f.BySpells), odds})
	}
	return t.set(Page{Width: p.Width - 2})
}

func oddsWords(odds float64) string {
	switch {
	case odds >= 1e6:
		return "over 1" + nbsp + "000" + nbsp + "000 to 1 for it"
	case odds >= 1.05:
		return grouped(odds) + " to 1 for it"
	case odds > 0.95:
		return "even"
	}
	return grouped(1/odds) + " to 1 against"
}

// followWords say how the movements were weighed.
func (v Logged) followWords() string {
	return fmt.Sprintf("A burst is jumps that follow each other within a movement's length. By chance: how often so many bursts would fall within the movements if they came at any "+
		"moments. In spells: the same, of the bursts close around the movements only. A place is named below %s by chance (over %s) and %s in spells; marks may be %s off.",
		oneIn(recording.FalseAlarm), count(len(v.Log.Follow), "place", "places"), oneIn(recording.SpellAlarm), long(recording.Slack))
}

// ohmsText is the resistance of the leading fault over time.
func (v Logged) ohmsText(b *strings.Builder, p Page) {
	for i, ohms := range v.Ohms {
		if len(ohms) == 0 {
			continue
		}
		c := &v.Log.Channels[i]
		clock := secondsOf(c.Found.Interval)
		b.WriteString("\n" + p.strong("Ohms over time") + "\n")
		b.WriteString(p.paragraph("  ", fmt.Sprintf("of %s, if it is the one, by %s:", v.Lead.Name(), Where(c.Reading))))
		t := table{head: []string{"seconds", "level", "ohms"}}
		for _, o := range ohms[:min(len(ohms), shownJumps)] {
			t.rows = append(t.rows, []string{clock.at(o.From) + " to" + nbsp + clock.at(o.To), v.level(c, o.Level), ohmsAtWords(o)})
		}
		b.WriteString(indented(t.set(Page{Width: p.Width - 2})))
		if more := len(ohms) - shownJumps; more > 0 {
			b.WriteString(fmt.Sprintf("  and %d more stretches (--json has all)\n", more))
		}
	}
}

// unseen says what the recording cannot show.
func (v Logged) unseen() []string {
	out := v.seenWords()
	out = append(out, "A jump is called where the level changes within a sample or two by more than four times the noise, and longer than two samples. In recordings of noise and drift alone fewer than 1 in 500 show one (measured).")
	return out
}
