// Package recordings ties a recording to a job, for whoever hands it in: the command line, which binds columns to points by
// flags, or a page, whose form says what was read. It prints nothing and opens no file.
//
//	c := recordings.NewChannel(job, table, column, reading, 0)
//	table.Read(plan, func(row *recorded.Row) error { c.Take(job, row.Time, row.Values[0], row.Over[0]); return nil })
//	found := c.Levels(job) // its levels, and what they mean
package recordings

import (
	"fmt"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/recorded"
	"ohmtrail/solver/levels"
	"ohmtrail/solver/recording"
)

// Channel is one column of values with what it is read for.
type Channel struct {
	Column  recorded.Column
	Reading circuits.Reading // planned, with its points resolved
	Step    float64          // in which its values come
	Over    int              // values beyond the meter's range so far

	finder   *recording.Finder
	envelope *recording.Envelope
}

// envelopeBands is how fine the chart can be.
const envelopeBands = 2400

// NewChannel begins a channel; no jump of less than least is called one.
func NewChannel(j *circuits.Job, table *recorded.Table, column recorded.Column, r circuits.Reading, least float64) *Channel {
	step := table.Step(column)
	if pin := j.Circuit.Pin(r.Point()); pin != nil && r.Quantity == circuits.ScanVolts {
		step = max(step, pin.StepVolts())
	}
	return &Channel{Column: column, Reading: r, Step: step, finder: recording.NewFinder(step, least), envelope: recording.NewEnvelope(envelopeBands)}
}

// Title is the column's, as the table heads it.
func (c *Channel) Title() string { return c.Column.Title() }

// Take adds one value to what is known of a channel.
func (c *Channel) Take(j *circuits.Job, t, v float64, over bool) {
	if over {
		c.Over++
		if c.Reading.Quantity == circuits.Ohms {
			v = j.Meter.MaxOhms
		}
	}
	c.finder.Add(t, v)
	c.envelope.Add(t, v)
}

// Levels are the channel's levels and jumps, and what they mean on the job's circuit.
func (c *Channel) Levels(j *circuits.Job) levels.Channel {
	return levels.NewChannel(j, c.Title(), c.Reading, c.finder.Found())
}

// Trace is the channel as a chart shows it.
func (c *Channel) Trace() []recording.Band { return c.envelope.Bands() }

// Titles lists columns for a message.
func Titles(columns []recorded.Column) string {
	var out []string
	for _, c := range columns {
		out = append(out, fmt.Sprintf("%q", c.Title()))
	}
	return strings.Join(out, ", ")
}
