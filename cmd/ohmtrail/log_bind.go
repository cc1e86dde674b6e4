package main

import (
	"fmt"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/files"
	"ohmtrail/cmd/internal/recorded"
	"ohmtrail/cmd/internal/recordings"
)

// bind ties columns to points of the job.
func (l *logging) bind() error {
	if err := l.bindTime(); err != nil {
		return err
	}
	for _, b := range []struct {
		flag  string
		texts []string
	}{{"--value", l.ask.values}, {"--scan", l.ask.scans}} {
		for _, text := range b.texts {
			if err := l.bindOne(b.flag, text); err != nil {
				return err
			}
		}
	}
	if len(l.channels) == 0 {
		if err := l.bindByHead(); err != nil {
			return err
		}
	}
	if l.ask.markCol != "" {
		c, err := l.table.Find(l.ask.markCol)
		if err != nil {
			return err
		}
		l.plan.Mark = c
	}
	for _, c := range l.channels {
		if c.Column.Index == l.plan.Time.Index || c.Column.Index == l.plan.Mark.Index {
			return usageError{fmt.Sprintf("column %q cannot be both a value and the time or the mark", c.Title())}
		}
		l.plan.Values = append(l.plan.Values, c.Column)
	}
	return nil
}

func (l *logging) bindTime() error {
	if l.ask.interval > 0 {
		l.plan.Interval = l.ask.interval
		return nil
	}
	if l.ask.time != "" {
		c, err := l.table.Find(l.ask.time)
		l.plan.Time = c
		return err
	}
	c, ok := l.table.Time()
	if !ok && l.ask.follow {
		return nil // rows are timed as they come
	}
	if !ok {
		return fmt.Errorf("%s: which column is the time? Name it with --time, or give --interval where there is none; the columns are %s",
			l.table.File, recordings.Titles(l.table.Columns))
	}
	l.plan.Time = c
	return nil
}

// bindOne takes COLUMN=POINT, or POINT alone where there is one value.
func (l *logging) bindOne(flag, text string) error {
	name, place, given := cutLast(text, "=")
	var column recorded.Column
	if given {
		c, err := l.table.Find(name)
		if err != nil {
			return err
		}
		column = c
	} else {
		numeric := l.table.Numeric(l.plan.Time)
		if len(numeric) != 1 {
			return usageError{fmt.Sprintf("%s %s: which column? Write %s \"COLUMN=%s\"; the columns are %s", flag, text, flag, text, recordings.Titles(numeric))}
		}
		column, place = numeric[0], text
	}
	for _, c := range l.channels {
		if c.Column.Index == column.Index {
			return usageError{fmt.Sprintf("%s %s: the column is at %s already", flag, text, c.Reading.At)}
		}
	}
	return l.add(flag+" "+text, column, strings.TrimSpace(place), flag == "--scan")
}

// cutLast parts a text at the last separator.
func cutLast(s, separator string) (before, after string, found bool) {
	at := strings.LastIndex(s, separator)
	if at < 0 {
		return s, "", false
	}
	return s[:at], s[at+len(separator):], true
}

// bindByHead binds the columns that are headed by a point: "MHS:2", or "scan MCU:A2" for a scan tool's.
func (l *logging) bindByHead() error {
	for _, c := range l.table.Numeric(l.plan.Time) {
		name, scan := strings.CutPrefix(c.Name, "scan ")
		red, _, _ := strings.Cut(name, " to ")
		p, err := circuits.ParsePoint(red)
		if err != nil {
			continue
		}
		if _, err := l.job.Circuit.Resolve(p); err != nil {
			continue
		}
		if err := l.add("column "+c.Title(), c, name, scan); err != nil {
			return err
		}
	}
	if len(l.channels) == 0 {
		return fmt.Errorf("%s: where was it read? Give each value its point: --value \"COLUMN=POINT\" (meter, oscilloscope) or --scan \"COLUMN=PIN\" (scan tool); the columns are %s",
			l.table.File, recordings.Titles(l.table.Numeric(l.plan.Time)))
	}
	return nil
}

// add makes a channel of a column that was read at a place.
func (l *logging) add(what string, column recorded.Column, place string, scan bool) error {
	r := circuits.Reading{Quantity: circuits.Volts, To: circuits.BNegative, State: circuits.State{Key: circuits.Key(l.ask.key), Unplugged: l.ask.unplugged}}
	switch m := column.Unit.Measure; {
	case m == recorded.Seconds || m == recorded.Other && column.Unit.Text != "":
		return fmt.Errorf("%s: %q is in %s, and a reading is in volts, ohms or amperes", l.table.File, column.Title(), column.Unit.Text)
	case scan && (m == recorded.Ohms || m == recorded.Amps):
		return fmt.Errorf("%s: %q is in %s, and a module's own value in volts", l.table.File, column.Title(), column.Unit.Text)
	case scan:
		r.Quantity = circuits.ScanVolts
	case m == recorded.Ohms:
		r.Quantity = circuits.Ohms
	case m == recorded.Amps:
		r.Quantity = circuits.Amps
	}
	if r.State.Key == "" {
		r.State.Key = circuits.KeyOn
		if r.Quantity == circuits.Ohms {
			r.State.Key = circuits.KeyOff
		}
	}
	red, black, two := strings.Cut(place, " to ")
	at, err := circuits.ParseLocation(strings.TrimSpace(red))
	if err == nil && two {
		r.To, err = circuits.ParsePoint(strings.TrimSpace(black))
	}
	if err != nil {
		return fmt.Errorf("%s: %w", what, err)
	}
	r.At = at
	parsed, err := l.parsed(what, r)
	if err != nil {
		return err
	}
	l.channels = append(l.channels, recordings.NewChannel(l.job, l.table, column, parsed, l.ask.least))
	return nil
}

// parsed is a reading as the job file's own reader takes it: with its points resolved, and refused where the job would
// refuse it. what names it in a message.
func (l *logging) parsed(what string, r circuits.Reading) (circuits.Reading, error) {
	out, problems := l.tried(r)
	for _, p := range problems.Warnings() {
		fmt.Fprintf(l.d.err, "%s: %s\n", what, sayProblem(p))
	}
	if errs := problems.Errors(); len(errs) > 0 {
		return r, fmt.Errorf("%s: %s", what, sayProblem(errs[0]))
	}
	return out, nil
}

// tried puts a reading behind those of the job file and reads that.
func (l *logging) tried(r circuits.Reading) (circuits.Reading, circuits.Problems) {
	text := l.text
	from := linesOf(text.Body) + 1
	text.Body = append(append([]byte(nil), text.Body...), "\n"+files.ReadingBlock(r)...)
	j, all := text.Job()
	var problems circuits.Problems
	for _, p := range all {
		if p.File == text.Name && p.Line >= from {
			problems = append(problems, p)
		}
	}
	if j == nil || len(j.Readings) == 0 {
		return r, problems
	}
	out := j.Readings[len(j.Readings)-1]
	out.Line = 0
	return out, problems
}

func sayProblem(p circuits.Problem) string {
	if p.Hint == "" {
		return p.What
	}
	return p.What + "; " + p.Hint
}
