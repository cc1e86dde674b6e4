package door

import (
	"encoding/json"
	"slices"
)

// kept is a pass as Secrets writes it.
type kept struct {
	Kind   string `json:"kind"`
	Code   string `json:"code"`
	Cookie string `json:"cookie"`
}

// Secrets are the codes and cookies of all passes, for Options.Secrets of a door that is opened later: who was in stays
// in, and a code that hangs on the wall still holds. They are as secret as the codes themselves.
func (d *Door) Secrets() []byte {
	var out []kept
	for _, p := range d.passes {
		out = append(out, kept{p.kind, p.code, p.cookie})
	}
	body, err := json.Marshal(out)
	if err != nil {
		panic("passes without JSON: " + err.Error())
	}
	return body
}

// knownPass is the pass of a kind among those of an earlier door, or a new one where there is none that can be used.
func knownPass(kind string, secrets []byte) pass {
	var list []kept
	if json.Unmarshal(secrets, &list) == nil {
		i := slices.IndexFunc(list, func(k kept) bool { return k.Kind == kind })
		if i >= 0 && len(list[i].Code) == codeLetters && tidy(list[i].Code) == list[i].Code && len(list[i].Cookie) > 2*codeLetters {
			return pass{list[i].Kind, list[i].Code, list[i].Cookie}
		}
	}
	return newPass(kind)
}
