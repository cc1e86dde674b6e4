package recordings

import (
	"bytes"
	"errors"
	"fmt"
	"slices"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/recorded"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/solver/levels"
)

// measures of the quantities that a recording can hold.
var measures = map[circuits.Quantity]recorded.Measure{
	circuits.Volts: recorded.Volts, circuits.ScanVolts: recorded.Volts, circuits.Ohms: recorded.Ohms, circuits.Amps: recorded.Amps,
}

// One reads a recording as one reading of a job, planned and with its points resolved: the reading with its values, and
// what else was seen, a sentence each. Of a table with several values the one that is headed by the reading's point is taken.
func One(j *circuits.Job, r circuits.Reading, name string, csv []byte) (reading circuits.Reading, says []string, err error) {
	table, err := recorded.Open(name, bytes.NewReader(csv))
	if err != nil {
		return r, nil, err
	}
	at, ok := table.Time()
	if !ok {
		return r, nil, fmt.Errorf("%s: which column is the time? The columns are %s", name, Titles(table.Columns))
	}
	column, err := valueColumn(table, at, r)
	if err != nil {
		return r, nil, err
	}
	r.Taken, r.Wiggle = false, ""
	c := NewChannel(j, table, column, r, 0)
	tally, err := table.Read(recorded.Plan{Time: at, Values: []recorded.Column{column}}, func(row *recorded.Row) error {
		c.Take(j, row.Time, row.Values[0], row.Over[0])
		return nil
	})
	if err != nil {
		return r, nil, err
	}
	channel := c.Levels(j)
	log := levels.NewLog([]levels.Channel{channel}, nil)
	readings := log.Readings(j, name)
	if len(readings) == 0 {
		return r, nil, fmt.Errorf("%s: its %d values of %q keep to no level that could be a reading", name, channel.Found.Samples-channel.Found.Missing, column.Title())
	}
	return readings[0], said(channel, tally), nil
}

// valueColumn is the column that holds the reading's value: the one that is headed by its point, else the only one that
// measures what the reading does.
func valueColumn(table *recorded.Table, at recorded.Column, r circuits.Reading) (recorded.Column, error) {
	var fit []recorded.Column
	for _, c := range table.Numeric(at) {
		if c.Name == r.At.String() || c.Name == "scan "+r.At.String() {
			return c, nil
		}
		if m := c.Unit.Measure; m == measures[r.Quantity] || m == recorded.Other && c.Unit.Text == "" {
			fit = append(fit, c)
		}
	}
	switch len(fit) {
	case 0:
		return recorded.Column{}, fmt.Errorf("%s: no column holds %s; the columns are %s", table.File, r.Quantity, Titles(table.Columns))
	case 1:
		return fit[0], nil
	}
	if i := slices.IndexFunc(fit, func(c recorded.Column) bool { return c.Unit.Measure == measures[r.Quantity] }); i >= 0 &&
		!slices.ContainsFunc(fit[i+1:], func(c recorded.Column) bool { return c.Unit.Measure == measures[r.Quantity] }) {
		return fit[i], nil
	}
	return recorded.Column{}, errors.New(table.File + ": which column is it? " + Titles(fit) + "; head one by the point, such as " + r.At.String() + ", or use ohmtrail log")
}

// said is what else a recording shows, a sentence each.
func said(c levels.Channel, tally recorded.Tally) []string {
	found := c.Found
	out := []string{fmt.Sprintf("column %s, %d values over %.4g s", c.Name, found.Samples-found.Missing, found.Last-found.First)}
	switch {
	case found.Overflow:
		out = append(out, "it jumps so often that only the first jumps are told")
	case len(found.Jumps) == 0 && found.SpikeCount == 0:
		out = append(out, "it never jumped")
	default:
		out = append(out, fmt.Sprintf("%d jumps and %d spikes", len(found.Jumps), found.SpikeCount))
	}
	for _, jump := range found.Jumps[:min(3, len(found.Jumps))] {
		out = append(out, fmt.Sprintf("at %.4g s from %s to %s", jump.At(), view.Value(c.Reading.Quantity, jump.Before), view.Value(c.Reading.Quantity, jump.After)))
	}
	there, unclear := c.There()
	if s := levels.Seconds(there); s > 0 {
		out = append(out, fmt.Sprintf("for %.3g s it showed what no healthy circuit shows", s))
	}
	if s := levels.Seconds(unclear); s > 0 {
		out = append(out, fmt.Sprintf("for %.3g s it cannot be told whether a healthy circuit shows it", s))
	}
	if c.Doubt != "" {
		out = append(out, c.Doubt)
	}
	if tally.Skipped.Count > 0 {
		out = append(out, fmt.Sprintf("%d lines are no rows, the first is line %d", tally.Skipped.Count, tally.Skipped.Line))
	}
	if tally.Words.Count > 0 {
		out = append(out, fmt.Sprintf("%d cells are no numbers, the first in line %d", tally.Words.Count, tally.Words.Line))
	}
	return out
}
