// Package seal hides the answers of exercises from a glance and from a search through a file's bytes, with the age format
// (filippo.io/age).
//
// Closed is for what the program itself must open without asking anybody (the fault of an exercise that is played):
// whoever reads this source can open it too. ForPhrase is for what only its owner may open (the key of a folder of
// exercises): it is as strong as the pass phrase.
package seal

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"

	"filippo.io/age"
	"filippo.io/age/armor"
)

const (
	// ourPhrase closes what the program opens by itself. It is no secret and protects nothing from a reader of this line.
	ourPhrase = "predict first, then measure"
	// ourWork is scrypt's work for it, as a power of two: a millisecond and 1 MB, for a phrase that is printed here gains
	// nothing by more, and forty students open forty files at once.
	ourWork = 10
	// phraseWork is scrypt's work for a person's pass phrase: age's own default, about a second and 256 MB, paid once
	// when a folder's key is written or read.
	phraseWork = 18
	// mostBytes is the most that is opened: a thousand times a folder's key.
	mostBytes = 4 << 20
)

// ErrPhrase says that a pass phrase does not fit.
var ErrPhrase = errors.New("the pass phrase does not fit")

// Closed seals a text for the program itself. Each call gives other bytes, as encryption must.
func Closed(plain []byte) (string, error) { return closed(plain, ourPhrase, ourWork) }

// Open gives what Closed sealed. A text that was changed, or that asks for more work than Closed spends, is refused.
func Open(sealed string) ([]byte, error) { return open(sealed, ourPhrase, ourWork) }

// ForPhrase seals a text for whoever knows the pass phrase.
func ForPhrase(plain []byte, phrase string) (string, error) {
	return closed(plain, phrase, phraseWork)
}

// OpenPhrase gives what ForPhrase sealed. The error is ErrPhrase where the pass phrase is another one.
func OpenPhrase(sealed, phrase string) ([]byte, error) { return open(sealed, phrase, phraseWork) }

func closed(plain []byte, phrase string, work int) (string, error) {
	recipient, err := age.NewScryptRecipient(phrase)
	if err != nil {
		return "", err
	}
	recipient.SetWorkFactor(work)
	var b bytes.Buffer
	a := armor.NewWriter(&b)
	w, err := age.Encrypt(a, recipient)
	if err != nil {
		return "", err
	}
	_, err = w.Write(plain)
	if err = errors.Join(err, w.Close(), a.Close()); err != nil {
		return "", err
	}
	return b.String(), nil
}

func open(sealed, phrase string, work int) ([]byte, error) {
	if len(sealed) > mostBytes {
		return nil, fmt.Errorf("the sealed part is larger than %d MB", mostBytes>>20)
	}
	identity, err := age.NewScryptIdentity(phrase)
	if err != nil {
		return nil, err
	}
	identity.SetMaxWorkFactor(work)
	r, err := age.Decrypt(armor.NewReader(strings.NewReader(sealed)), identity)
	var other *age.NoIdentityMatchError
	switch {
	case errors.As(err, &other):
		return nil, ErrPhrase
	case err != nil:
		return nil, fmt.Errorf("the sealed part is damaged: %w", err)
	}
	plain, err := io.ReadAll(io.LimitReader(r, mostBytes))
	if err != nil {
		return nil, fmt.Errorf("the sealed part is damaged: %w", err)
	}
	return plain, nil
}
