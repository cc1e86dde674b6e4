package worksheet

import (
	"testing"

	"ohmtrail/cmd/internal/phrase/phrasetest"
)

// TestWordsAreComplete holds the keys that the code asks for against those of the words file: none is missing, none is
// there for nothing.
func TestWordsAreComplete(t *testing.T) { phrasetest.Complete(t, words) }

// TestWordsAreInOnePlace: no sentence of a sheet or key stands in the code.
func TestWordsAreInOnePlace(t *testing.T) {
	phrasetest.InOnePlace(t, func(string, string) bool { return false })
}
