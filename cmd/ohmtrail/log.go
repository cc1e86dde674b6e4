package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/files"
	"ohmtrail/cmd/internal/recorded"
	"ohmtrail/cmd/internal/recordings"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/solver/levels"
	"ohmtrail/solver/recording"
)

// logAsk is what the command line of log asks for.
type logAsk struct {
	job, file         string
	time              string
	interval          float64
	values, scans     []string
	key               string
	unplugged         []string
	marks             []string
	markFile, markCol string
	least             float64
	write, asJSON     bool
	follow            bool
	picture           string
	top               int
}

func logCommand(d *desk) *cobra.Command {
	var a logAsk
	c := &cobra.Command{
		Use:   "log JOB FILE.csv",
		Short: "Say from a recording whether a value jumped, when, and which movement it follows",
		Long: `log reads what a scan tool, a logging meter or an oscilloscope recorded while the harness was moved by
hand: whether the value jumped, between which levels, when the symptom was there, which movements
the jumps follow (with the chance that they only seem to), which faults explain the levels, and
what the ohms of the leading fault were over time.

The file is a table of text: comma, semicolon or tab; decimal point or comma; units in its head or
none; any number of rows. Each value needs the point at which it was read: --value COLUMN=POINT for
a meter or an oscilloscope, --scan COLUMN=PIN for what a scan tool showed. COLUMN is the column's
head or its number, and may be left away where there is one value. A second lead is written
"MHS:1 to MHS:3". A column that is headed by a point needs no flag.

What was moved when: --mark FROM-TO=PLACE in seconds of the recording, --marks with a table of
from, to, place, or a column of the recording that names what is moved in each row.

With --follow, rows are read as they come and a jump is said at once, with a bell and in large
letters, so that both hands can stay on the harness; the whole answer comes at the end.`,
		Example: `  ohmtrail log mast-height.job.toml drive.csv --scan "Height=MCU:A2" --mark 12.5-18=C7 --mark 30-36=C7
  ohmtrail log mast-height.job.toml drive.csv --value 2=MHS:2 --marks moved.csv -o drive.svg
  ohmtrail log mast-height.job.toml drive.csv --scan MCU:A2 --mark-column moved --write
  meter-reader | ohmtrail log mast-height.job.toml --follow - --value MHS:2`,
		Args:              filesWanted(2, 2, "a job file and a recording"),
		ValidArgsFunction: completeLog,
		RunE: func(c *cobra.Command, args []string) error {
			a.job, a.file = args[0], args[1]
			if err := a.check(c.Flags().Changed("interval")); err != nil {
				return err
			}
			return d.log(a)
		},
	}
	f := c.Flags()
	f.StringVar(&a.time, "time", "", "the `COLUMN` of the time; found by its head where this is not given")
	f.Float64Var(&a.interval, "interval", 0, "`SECONDS` between rows, for a file without times")
	f.StringArrayVar(&a.values, "value", nil, "`COLUMN=POINT`: a meter's or oscilloscope's value; again for more")
	f.StringArrayVar(&a.scans, "scan", nil, "`COLUMN=PIN`: a module's own value from a scan tool; again for more")
	f.StringVar(&a.key, "key", "", "the `KEY` during the recording: on, off or run (off for ohms, else on)")
	f.StringArrayVar(&a.unplugged, "unplugged", nil, "a `CONNECTOR` that was apart; again for more")
	f.StringArrayVar(&a.marks, "mark", nil, "`FROM-TO=PLACE`: moved from one second to another; again for more")
	f.StringVar(&a.markFile, "marks", "", "a `FILE` of from, to, place")
	f.StringVar(&a.markCol, "mark-column", "", "the `COLUMN` that names what is moved")
	f.Float64Var(&a.least, "least", 0, "call no jump of less than `SIZE` volts, amperes or ohms")
	f.BoolVar(&a.write, "write", false, "write the readings that the recording comes to into the job")
	f.BoolVar(&a.follow, "follow", false, "say jumps as the rows come, then the answer")
	f.StringVarP(&a.picture, "output", "o", "", "draw a strip chart into `FILE`.svg or FILE.png")
	f.IntVar(&a.top, "top", 3, "at most `N` groups of faults in the text (the JSON has all)")
	f.BoolVar(&a.asJSON, "json", false, "print the answer as JSON")
	mustComplete(c, "key", cobra.FixedCompletions([]string{"on", "off", "run"}, cobra.ShellCompDirectiveNoFileComp))
	return c
}

// check finds what is wrong with the command line by itself.
func (a *logAsk) check(hasInterval bool) error {
	switch {
	case a.top < 1:
		return usageError{"--top wants a number of groups, 1 or more"}
	case hasInterval && !(a.interval > 0 && a.interval < 1e9):
		return usageError{"--interval wants seconds above 0"}
	case hasInterval && a.time != "":
		return usageError{"--time and --interval exclude each other: a file has times or it has none"}
	case !(a.least >= 0):
		return usageError{"--least wants a size of 0 or more"}
	case a.write && a.job == files.Stdin:
		return usageError{"--write needs a job file, not standard input"}
	case a.job == files.Stdin && a.file == files.Stdin:
		return usageError{"only one of the job and the recording can come from standard input"}
	case a.follow && a.asJSON:
		return usageError{"--follow says jumps in words; leave --json away"}
	}
	switch circuits.Key(a.key) {
	case "", circuits.KeyOn, circuits.KeyOff, circuits.KeyRun:
	default:
		return usageError{fmt.Sprintf("--key wants on, off or run, not %q", a.key)}
	}
	if a.picture != "" {
		if err := chartName(a.picture); err != nil {
			return usageError{err.Error()}
		}
	}
	return nil
}

// log answers for one recording.
func (d *desk) log(a logAsk) error {
	text, err := files.Read(a.job, d.in)
	if err != nil {
		return err
	}
	j, problems := text.Job()
	if text.KindOf() == files.Circuit {
		_, err := d.job(a.job, "log")
		return err
	}
	if err := d.usable(j != nil, text.Name, problems); err != nil {
		return err
	}
	from, name, err := d.opened(a.file)
	if err != nil {
		return err
	}
	defer from.Close()
	open := recorded.Open
	if a.follow {
		open = recorded.OpenLive
	}
	table, err := open(name, from)
	if err != nil {
		return err
	}
	l := &logging{d: d, ask: a, text: text, job: j, table: table}
	if err := l.once(); err != nil {
		return err
	}
	if err := l.bind(); err != nil {
		return err
	}
	if err := l.takeMarks(); err != nil {
		return err
	}
	if a.follow {
		return l.follow()
	}
	if err := l.read(); err != nil {
		return err
	}
	return l.answer()
}

// opened opens a recording; it is not held in memory.
func (d *desk) opened(name string) (io.ReadCloser, string, error) {
	if name == files.Stdin {
		return io.NopCloser(d.in), "stdin", nil
	}
	f, err := os.Open(name)
	if err == nil {
		var info os.FileInfo
		if info, err = f.Stat(); err == nil && !info.IsDir() {
			return f, name, nil
		}
		f.Close()
		if err == nil {
			err = errors.New("this is a folder; name a file in it")
		}
	}
	switch {
	case errors.Is(err, os.ErrNotExist):
		err = errors.New("there is no such file")
	case errors.Is(err, os.ErrPermission):
		err = errors.New("you may not read it")
	}
	var at *os.PathError
	if errors.As(err, &at) {
		err = at.Err
	}
	return nil, "", fmt.Errorf("%s: %w", name, err)
}

// logging is one recording being read for a job.
type logging struct {
	d        *desk
	ask      logAsk
	text     files.Text
	job      *circuits.Job
	table    *recorded.Table
	plan     recorded.Plan
	channels []*recordings.Channel
	marks    []recording.Mark
	open     recording.Mark // of the mark column, while it lasts
	taken    int            // rows so far
	tally    recorded.Tally
	before   int // readings of the job that come from this recording
}

// read reads the whole recording.
func (l *logging) read() error {
	progress := l.d.rowsProgress()
	tally, err := l.table.Read(l.plan, func(r *recorded.Row) error {
		l.row(r)
		progress(r.Line)
		return nil
	})
	progress(-1)
	l.tally = tally
	l.endMark()
	return err
}

// row takes one row into every channel.
func (l *logging) row(r *recorded.Row) {
	l.taken++
	for i, c := range l.channels {
		c.Take(l.job, r.Time, r.Values[i], r.Over[i])
	}
	if l.plan.Mark.Index > 0 && r.Mark != l.open.Place {
		l.endMark()
		l.open = recording.Mark{Place: r.Mark, From: r.Time}
	}
	l.open.To = r.Time
}

// endMark closes the movement that the mark column named.
func (l *logging) endMark() {
	if l.open.Place != "" {
		l.marks = append(l.marks, l.open)
	}
	l.open = recording.Mark{}
}

// made is what the recording came to.
func (l *logging) made() (view.Logged, error) {
	if err := l.checkPlaces(); err != nil {
		return view.Logged{}, err
	}
	if n := len(l.marks); n > recording.MostMarks {
		return view.Logged{}, fmt.Errorf("%s: %d movements, and hands make no more than %d; is the mark column the right one?", l.table.File, n, recording.MostMarks)
	}
	var channels []levels.Channel
	for _, c := range l.channels {
		channels = append(channels, c.Levels(l.job))
	}
	file := filepath.Base(l.table.File)
	v := view.Logged{Weighed: levels.Weigh(l.job, levels.NewLog(channels, l.marks), file), File: file, Clock: l.tally.Clock}
	v.Notes = l.remarks(v.Jumped())
	return v, nil
}

// answer prints what the recording came to, draws it and writes it down, as asked.
func (l *logging) answer() error {
	v, err := l.made()
	if err != nil {
		return err
	}
	if l.ask.write {
		n, err := l.writeReadings(v)
		if err != nil {
			return err
		}
		v.Written = n
	}
	if l.ask.picture != "" {
		if err := l.draw(v); err != nil {
			return err
		}
	}
	if l.ask.asJSON {
		return l.d.json(v.JSON())
	}
	if err := l.d.text(v.Text(l.d.page, l.ask.top)); err != nil {
		return err
	}
	if l.ask.write {
		return l.d.text("\n" + written(v.Written, l.text.Name))
	}
	return nil
}

func written(n int, file string) string {
	return fmt.Sprintf("%s written into %s.\n", readingsOf(n), file)
}
