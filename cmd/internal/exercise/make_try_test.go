package exercise

import (
	"fmt"
	"os"
	"strconv"
	"testing"
	"time"

	"ohmtrail/circuits"
)

func TestTry(t *testing.T) {
	name := os.Getenv("TRY")
	if name == "" {
		t.Skip()
	}
	text, err := circuits.LibraryText(name)
	if name == "mast" {
		text, err = os.ReadFile("../../../testdata/demo/mast-height.circuit.toml")
	}
	if err != nil {
		t.Fatal(err)
	}
	level, _ := strconv.Atoi(os.Getenv("LEVEL"))
	count, _ := strconv.Atoi(os.Getenv("COUNT"))
	q := Request{CircuitName: name, CircuitText: text, Level: level, Count: count, Seed: 1}
	begin := time.Now()
	s, err := Make(q)
	fmt.Println(time.Since(begin), err, s.Short(q), s.Levels, "tried", s.Tried, "families", s.Families, "unproved", s.Unproved)
	for _, x := range s.Exercises {
		d := x.Hidden.Difficulty
		fmt.Printf("%s %s %-50s %.1f %+v plan %.1f half %.1f(%d) | %v %s\n", x.Name, x.Hidden.Family, x.Hidden.Fault, d.Points(), d, x.Hidden.Plan.Minutes, x.Hidden.HalfSplit.Minutes, len(x.Hidden.HalfSplit.Readings), x.Codes, x.Complaint)
		if b, err := x.Text(); err != nil {
			t.Error(err)
		} else if _, err := Read("x", b); err != nil {
			t.Error(err)
		}
	}
}
