package seal

import (
	"errors"
	"strings"
	"testing"
)

const fault = "high-resistance C7:1 324"

func TestWhatIsSealedComesBackAndDoesNotShow(t *testing.T) {
	s, err := Closed([]byte(fault))
	if err != nil {
		t.Fatal(err)
	}
	if strings.Contains(s, "C7") || strings.Contains(s, "resistance") {
		t.Errorf("the answer shows in %q", s)
	}
	got, err := Open(s)
	if err != nil || string(got) != fault {
		t.Errorf("opened %q, %v", got, err)
	}
}

func TestPassPhrase(t *testing.T) {
	s, err := ForPhrase([]byte(fault), "three brass keys")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := OpenPhrase(s, "two brass keys"); !errors.Is(err, ErrPhrase) {
		t.Errorf("another phrase: %v", err)
	}
	if got, err := OpenPhrase(s, "three brass keys"); err != nil || string(got) != fault {
		t.Errorf("opened %q, %v", got, err)
	}
	// A file that asks for a person's work is no exercise, and must cost no second each.
	if _, err := Open(s); err == nil {
		t.Error("a file of more work than ours was opened")
	}
}

func TestDamagedSealsAreRefused(t *testing.T) {
	s, err := Closed([]byte(fault))
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(s, "\n")
	for name, damaged := range map[string]string{
		"empty":      "",
		"cut":        s[:len(s)/2],
		"no armor":   strings.Join(lines[1:], "\n"),
		"other byte": strings.Replace(s, lines[4], strings.ToLower(lines[4]), 1),
		"nonsense":   "-----BEGIN AGE ENCRYPTED FILE-----\nAAAA\n-----END AGE ENCRYPTED FILE-----\n",
	} {
		if got, err := Open(damaged); err == nil {
			t.Errorf("%s: opened as %q", name, got)
		}
	}
}

// FuzzOpen looks for a text that makes opening panic or hang.
func FuzzOpen(f *testing.F) {
	s, err := Closed([]byte(fault))
	if err != nil {
		f.Fatal(err)
	}
	f.Add(s)
	f.Add("-----BEGIN AGE ENCRYPTED FILE-----\n-----END AGE ENCRYPTED FILE-----\n")
	f.Fuzz(func(t *testing.T, text string) {
		if got, err := Open(text); err == nil && string(got) != fault {
			t.Errorf("%q opened as %q", text, got)
		}
	})
}
