package main

import (
	"fmt"
	"path/filepath"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/chart"
	"ohmtrail/cmd/internal/files"
	"ohmtrail/cmd/internal/view"
)

// chartName checks that a picture's name says what it is to be.
func chartName(name string) error {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".svg", ".png":
		return nil
	}
	return fmt.Errorf("%q is no picture that can be drawn: its name must end in .svg or .png", name)
}

// mostLevels is how many stretches get a line of their own in a chart.
const mostLevels = 300

// draw writes the strip chart of a recording.
func (l *logging) draw(v view.Logged) error {
	c := chart.Chart{Title: v.ChartTitle(), Note: v.ChartNote(), Clock: v.Clock, Marks: v.Log.Marks}
	for i, made := range l.channels {
		found := &v.Log.Channels[i].Found
		s := chart.Strip{Label: v.ChartLabel(i), Trace: made.Trace()}
		for _, j := range found.Jumps {
			s.Jumps = append(s.Jumps, j.At())
		}
		if len(found.Stretches) <= mostLevels {
			for _, x := range found.Stretches {
				s.Levels = append(s.Levels, chart.Level{From: x.From, To: x.To, Value: x.Level})
			}
		}
		for _, b := range v.ChartBands(i) {
			s.Bands = append(s.Bands, chart.Band(b))
		}
		if made.Reading.Quantity == circuits.Ohms {
			s.Log = true
		}
		c.Strips = append(c.Strips, s)
	}
	render := chart.SVG
	if strings.EqualFold(filepath.Ext(l.ask.picture), ".png") {
		render = chart.PNG
	}
	picture, err := render(c)
	if err != nil {
		return err
	}
	if err := files.Replace(l.ask.picture, picture); err != nil {
		return err
	}
	if l.ask.asJSON {
		return nil
	}
	return l.d.text("wrote " + l.ask.picture + "\n\n")
}
