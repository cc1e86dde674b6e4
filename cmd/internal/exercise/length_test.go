package exercise

import (
	"strings"
	"testing"
)

// The sealed parts of a set are of one length, which tells nothing.
func TestSealedPartsAreOfOneLength(t *testing.T) {
	set := mustMake(t, request(t, "coolant-temperature", 1, 4))
	lengths := map[int]bool{}
	for _, x := range set.Exercises {
		text, err := x.Text()
		if err != nil {
			t.Fatal(err)
		}
		_, sealed, _ := strings.Cut(string(text), "\nsealed = ")
		lengths[len(sealed)] = true
		if again, err := Read("again", text); err != nil || again.Hidden.Fault != x.Hidden.Fault {
			t.Errorf("%s is not read again: %v", x.Name, err)
		}
	}
	if len(set.Exercises) < 4 || len(lengths) != 1 {
		t.Errorf("%d exercises with sealed parts of lengths %v", len(set.Exercises), lengths)
	}
}
