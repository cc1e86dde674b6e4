package door

import (
	"bytes"
	"testing"
)

// TestSecretsCarryOver: a door that is opened with the secrets of another knows its codes and cookies; rubbish gives new
// ones.
func TestSecretsCarryOver(t *testing.T) {
	open := func(secrets []byte) *Door {
		d, err := Open(Options{Port: AnyPort, Locked: true, Passes: []string{"a", "b"}, Secrets: secrets})
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { d.listener.Close() })
		return d
	}
	first := open(nil)
	second := open(first.Secrets())
	if !bytes.Equal(first.Secrets(), second.Secrets()) {
		t.Error("the second door has other codes")
	}
	for _, rubbish := range []string{"", "{}", `[{"kind":"a","code":"","cookie":""},{"kind":"b","code":"0000000000","cookie":"x"}]`, "[{\"kind\":\"a\",\"code\":\"oooooooooo\",\"cookie\":\"aaaaaaaaaaaaaaaaaaaaaaaaaaa\"}]"} {
		d := open([]byte(rubbish))
		for i, p := range d.passes {
			if len(p.code) != codeLetters || len(p.cookie) < 20 || p.code == first.passes[i].code || p.code == "oooooooooo" {
				t.Errorf("%q gives the pass %+v", rubbish, p)
			}
		}
	}
}
