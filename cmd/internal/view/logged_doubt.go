package view

import (
	"fmt"

	"ohmtrail/circuits"
)

// wanders tells whether a value moved without keeping to any level: it can have moved with a hand.
func (v Logged) wanders() bool {
	for i := range v.Log.Channels {
		if _, moves := v.Log.Channels[i].Moves(); moves {
			return true
		}
	}
	return false
}

// runs says from when to when the recording runs.
func (v Logged) runs() string {
	clock := secondsOf(0)
	for _, c := range v.Log.Channels {
		clock = secondsOf(c.Found.Interval)
	}
	return clock.at(v.Log.First) + " to" + nbsp + clock.at(v.Log.Last) + nbsp + "s"
}

// outside says which movements lie outside the recording; "" where all or none do.
func (v Logged) outside() string {
	n, first := 0, ""
	for _, m := range v.Log.Marks {
		if m.To < v.Log.First || m.From > v.Log.Last {
			if n++; n == 1 {
				first = m.Place
			}
		}
	}
	if n == 0 || n == len(v.Log.Marks) {
		return ""
	}
	return fmt.Sprintf("%s outside the recording (%s) and counts for nothing, the first of %s.", count(n, "movement lies", "movements lie"), v.runs(), first)
}

// settingShare is the probability from which on a sensor that shows other settings than it has is worth the warning.
const settingShare = 0.01

// setting warns where a sensor may be that shows other settings than it has: a machine that moved shows the same.
func (v Logged) setting() string {
	if !v.Jumped() {
		return ""
	}
	for _, c := range v.Ranking.Candidates {
		if c.Probability < settingShare {
			break
		}
		if f := c.Fault; f.Kind == circuits.DeviceInside && f.Words == circuits.ReadsWrong {
			name := f.At.From.Place
			return fmt.Sprintf("That holds only if what %s senses stayed as it was: a machine that moved during the recording shows the same. Hold it still, or leave %s out of [assume].", name, name)
		}
	}
	return ""
}
