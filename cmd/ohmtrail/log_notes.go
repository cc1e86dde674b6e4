package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/schollz/progressbar/v3"
	"golang.org/x/term"

	"ohmtrail/cmd/internal/files"
	"ohmtrail/cmd/internal/recorded"
	"ohmtrail/cmd/internal/view"
)

// remarks say what was odd about the file. jumped tells whether a value did.
func (l *logging) remarks(jumped bool) []string {
	t := l.tally
	var out []string
	note := func(words string, arguments ...any) { out = append(out, fmt.Sprintf(words, arguments...)) }
	if t.Assumed && !l.ask.follow {
		note("Its times have no unit and were taken for seconds.")
	}
	for _, c := range l.channels {
		if c.Column.Unit.Text == "" {
			note("%q has no unit and was taken for %s.", c.Title(), unitWord(string(c.Reading.Quantity)))
		}
		if c.Over > 0 && c.Reading.Quantity == "ohms" {
			note("%q was beyond the meter's range %s.", c.Title(), times(c.Over))
		} else if c.Over > 0 {
			note("%q was beyond the instrument's range %s: no value was taken there.", c.Title(), times(c.Over))
		}
	}
	if l.before > 0 {
		note("What the job holds of this recording already (%s) was left out here, so that it counts once.", readingsOf(l.before))
	}
	odd := func(o recorded.Oddity, words string) {
		if o.Count > 0 {
			note(words+" (%s, the first in line %d: %q).", times(o.Count), o.Line, o.Text)
		}
	}
	if !l.job.Intermittent && jumped {
		note("The job does not say that its symptom comes and goes: write intermittent = true at its top, so that a fault may take other ohms at each reading.")
	}
	odd(t.Skipped, "Lines without a time were left out")
	odd(t.Words, "Cells that are no numbers were left out")
	odd(t.Resets, "The clock fell back and was counted on; how long it stood is not known")
	odd(t.Disorder, "Rows out of order were taken at the time of the row before")
	if t.Repeats > 0 {
		note("Rows with the time of the row before: %d.", t.Repeats)
	}
	return out
}

func unitWord(quantity string) string {
	switch quantity {
	case "ohms":
		return "ohms"
	case "amps":
		return "amperes"
	}
	return "volts"
}

func readingsOf(n int) string {
	if n == 1 {
		return "1 reading"
	}
	return fmt.Sprintf("%d readings", n)
}

func times(n int) string {
	if n == 1 {
		return "once"
	}
	return fmt.Sprintf("%d times", n)
}

// rowsProgress shows on a terminal how many lines have been read; it is called with each line's number, and with -1 at
// the end.
func (d *desk) rowsProgress() func(line int) {
	f, ok := d.err.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return func(int) {}
	}
	bar := progressbar.NewOptions(-1, progressbar.OptionSetWriter(d.err), progressbar.OptionSetDescription("lines read"), progressbar.OptionShowCount(), progressbar.OptionClearOnFinish())
	return func(line int) {
		switch {
		case line < 0:
			_ = bar.Finish() // a bar that cannot be drawn is no reason to stop
		case line%100_000 == 0:
			_ = bar.Set(line)
		}
	}
}

// once leaves out of the job what an earlier run wrote there from this recording, by the notes of those readings: the same
// recording twice is no more evidence than once. What comes from a pipe has no name to be known by.
func (l *logging) once() error {
	if l.ask.file == files.Stdin {
		return nil
	}
	name := filepath.Base(l.table.File)
	fresh := *l.job
	fresh.Readings = nil
	first := 0
	for _, r := range l.job.Readings {
		if !r.Taken || !strings.HasPrefix(r.Note, "recorded in "+name+": ") {
			fresh.Readings = append(fresh.Readings, r)
			continue
		}
		if l.before++; l.before == 1 {
			first = r.Line
		}
	}
	if l.before > 0 && l.ask.write {
		return fmt.Errorf("%s:%d: the job holds readings of %s already, the first of them here; take them out before the recording is written again, or leave --write away", l.text.Name, first, name)
	}
	l.job = &fresh
	return nil
}

// writeReadings appends the readings that the recording comes to, all or none.
func (l *logging) writeReadings(v view.Logged) (int, error) {
	var blocks []string
	for _, r := range v.Log.Readings(l.job, v.File) {
		blocks = append(blocks, files.ReadingBlock(r))
	}
	check := &parsed{text: l.text, confirm: true}
	if _, err := files.Append(l.ask.job, strings.Join(blocks, "\n"), check.usable); err != nil {
		return 0, fmt.Errorf("not written, the file is as it was:\n%w", err)
	}
	return len(blocks), nil
}
