package marking

import (
	"strings"
	"testing"
)

// A fault that was hit by guessing after one reading earns for being quick no more than the reading had shown of it:
// whoever proves it must come out ahead.
func TestAGuessIsNotQuick(t *testing.T) {
	x := hidden(t, "high-resistance C7:1")
	for _, last := range [][]string{{"find high-resistance C7:1; renew the contact"}, {"repair C7:1", "find high-resistance C7:1; renew the contact"}} {
		m := marked(t, played(t, x, append([]string{"volts MHS:1"}, last...)...))
		if m.Guesses != 1 || m.part("place").Points != m.part("place").Most {
			t.Fatalf("%v: this is no lucky guess: %+v", last, m.Parts)
		}
		if p := m.part("minutes"); p.Points > p.Most/3 || !strings.Contains(p.Why, "it was guessed") {
			t.Errorf("%v: %+v", last, p)
		}
	}
}
