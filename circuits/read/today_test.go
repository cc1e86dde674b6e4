package read

import (
	"math"
	"testing"

	"ohmtrail/circuits"
)

// What a job says of today: the battery at its posts, what moves, what was moved, the machine beside it, what was tried.
func TestWhatAJobSaysOfToday(t *testing.T) {
	j := jobOn(t, mast(t), `moves = ["MHS"]
[battery]
volts = 12.31
[[reading]]
at = "MCU:A2"
scan_volts = [0.7, 4.4]
set = { MHS = [0.95, 0.05] }
[[reading]]
at = "MHS:1"
volts = 5.02
sound = true
[[tried]]
at = "C7"
done = "cleaned, terminals tightened"
result = "remains"
`)
	// Half a per cent of 12.31 V and 0.01 V are 0.07155 V.
	if w := j.Circuit.Battery.Widths[0]; j.Posts.Volts != 12.31 || j.Circuit.Battery.Volts != 12.31 || math.Abs(w.Low-12.23845) > 1e-9 || math.Abs(w.High-12.38155) > 1e-9 {
		t.Errorf("the battery read today is %+v", j.Circuit.Battery)
	}
	if j.Posts.RunningVolts != 0 || j.Circuit.Battery.RunningVolts != 14.2 {
		t.Errorf("nobody read the running volts: %+v", j.Circuit.Battery)
	}
	if len(j.Moves) != 1 || j.Moves[0] != "MHS" {
		t.Errorf("what moves is %q", j.Moves)
	}
	from, to, moved := j.Readings[0].Sweep("MHS")
	if !moved || from != 0.95 || to != 0.05 || j.Readings[0].Sound || !j.Readings[1].Sound {
		t.Errorf("readings %+v", j.Readings)
	}
	want := circuits.Tried{Line: j.Tried[0].Line, At: circuits.PointLocation(circuits.Point{Place: "C7"}), Done: "cleaned, terminals tightened", Result: circuits.ResultRemains}
	if len(j.Tried) != 1 || j.Tried[0] != want {
		t.Errorf("tried %+v", j.Tried)
	}
}
