package exercise

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/exercise/seal"
)

// HiddenJSON is the hidden part in the words of the contract, as it is sealed and as a trainer's key shows it.
type HiddenJSON struct {
	Exercise   string         `json:"exercise"`
	Open       string         `json:"open"` // the sum of the open part
	Fault      string         `json:"fault"`
	Shows      [2]float64     `json:"shows"` // the stimulus that a sensor which reads wrong shows, by fault
	Share      [2]float64     `json:"share"` // of its volts that a low reference gives
	Seed       uint64         `json:"seed"`
	Duty       float64        `json:"duty"`
	Level      int            `json:"level"`
	Difficulty DifficultyJSON `json:"difficulty"`
	Family     string         `json:"family"`
	Answers    []string       `json:"answers"`
	Useful     []bool         `json:"useful"`
	Seen       []SeenJSON     `json:"seen"`
	Plan       WayJSON        `json:"plan"`
	HalfSplit  WayJSON        `json:"half_split"`
}

// DifficultyJSON is Difficulty.
type DifficultyJSON struct {
	Readings     int     `json:"readings"`
	FirstPlaces  float64 `json:"first_places"`
	Hides        bool    `json:"hides"`
	Intermittent bool    `json:"intermittent"`
	Double       bool    `json:"double"`
	Points       float64 `json:"points"`
}

// SeenJSON is something to be seen at a place.
type SeenJSON struct {
	At   string `json:"at"`
	Seen string `json:"seen"`
}

// WayJSON is Way.
type WayJSON struct {
	Readings    []string `json:"readings"`
	Minutes     float64  `json:"minutes"`
	Done        bool     `json:"done"`
	Right       bool     `json:"right"`
	Left        int      `json:"left"`
	Place       string   `json:"place"`
	PlaceRight  bool     `json:"place_right"`
	Probability float64  `json:"probability"`
}

// JSON is the hidden part for a trainer's key.
func (x *Exercise) JSON() HiddenJSON {
	h := x.Hidden
	d := h.Difficulty
	out := HiddenJSON{Exercise: x.Name, Open: sum(x.openText()), Fault: h.Fault.String(), Seed: h.Seed, Duty: h.Duty, Level: h.Level, Family: h.Family,
		Difficulty: DifficultyJSON{d.Readings, d.FirstPlaces, d.Hides, d.Intermittent, d.Double, d.Points()},
		Answers:    h.Answers, Useful: h.Useful, Seen: []SeenJSON{}, Plan: WayJSON(h.Plan), HalfSplit: WayJSON(h.HalfSplit)}
	for i, s := range []circuits.Single{h.Fault.First, h.Fault.Second} {
		if s.Kind == circuits.DeviceInside {
			out.Shows[i] = s.Shows
		}
		out.Share[i] = s.Share
	}
	for _, s := range h.Seen {
		out.Seen = append(out.Seen, SeenJSON{s.At.String(), s.Seen})
	}
	return out
}

// sealedBytes is the step in which a hidden part grows: encryption hides what a text says, not how long it is, and a long
// one would tell a swapped pair from an open contact, and a short way from a long one.
const sealedBytes = 4 << 10

func (x *Exercise) sealed(open string) (string, error) {
	j := x.JSON()
	j.Open = sum(open)
	plain, err := json.Marshal(j)
	if err != nil {
		return "", err
	}
	plain = append(plain, bytes.Repeat([]byte(" "), sealedBytes-len(plain)%sealedBytes)...)
	return seal.Closed(plain)
}

// unseal fills in the hidden part, whose every value is checked: whoever reads this source can seal what they like.
func (x *Exercise) unseal(sealed string) error {
	plain, err := open(sealed)
	if err != nil {
		return err
	}
	var j HiddenJSON
	if err := json.Unmarshal(plain, &j); err != nil {
		return errors.New("the sealed part holds no exercise")
	}
	if j.Open != sum(x.openText()) {
		return errors.New("the open part was changed after the exercise was made: get the file anew")
	}
	x.Hidden, err = j.hidden(x)
	if err != nil {
		return fmt.Errorf("the sealed part: %w", err)
	}
	return nil
}

func (j HiddenJSON) hidden(x *Exercise) (Hidden, error) {
	h := Hidden{Seed: j.Seed, Duty: j.Duty, Level: j.Level, Family: j.Family, Answers: j.Answers, Useful: j.Useful, Plan: Way(j.Plan), HalfSplit: Way(j.HalfSplit),
		Difficulty: Difficulty{j.Difficulty.Readings, j.Difficulty.FirstPlaces, j.Difficulty.Hides, j.Difficulty.Intermittent, j.Difficulty.Double}}
	f, err := circuits.ParseFault(j.Fault)
	if err == nil {
		f, err = x.Circuit.ResolveFault(f)
	}
	if err != nil {
		return h, err
	}
	for i, s := range []*circuits.Single{&f.First, &f.Second} {
		switch {
		case s.Kind == circuits.Unlisted || i == 0 && s.Kind == circuits.Healthy:
			return h, fmt.Errorf("%q hides nothing", s)
		case s.Kind.TakesOhms() && (!s.HasOhms || !(s.Ohms >= 0 && s.Ohms <= 1e12)):
			return h, fmt.Errorf("%q lacks its ohms", s)
		case s.Kind == circuits.DeviceInside && s.Words == circuits.ReadsWrong:
			s.Shows = j.Shows[i]
			if d := x.Circuit.Device(s.At.From.Place); !(s.Shows >= d.Range[0] && s.Shows <= d.Range[1]) {
				return h, fmt.Errorf("%q shows %g, which the sensor cannot", s, s.Shows)
			}
		case s.IsLowReference():
			if s.Share = j.Share[i]; !(s.Share >= circuits.LeastReferenceShare && s.Share <= circuits.MostReferenceShare) {
				return h, fmt.Errorf("%q gives %g of its volts, which is not low", s, s.Share)
			}
		}
	}
	h.Fault = f
	if !(h.Duty > 0 && h.Duty <= 1) || len(h.Answers) != len(x.Questions) || len(h.Useful) != len(x.Questions) {
		return h, errors.New("its values do not fit the open part")
	}
	for _, v := range []float64{h.Plan.Minutes, h.HalfSplit.Minutes, h.Difficulty.FirstPlaces} {
		if math.IsNaN(v) || math.IsInf(v, 0) || v < 0 {
			return h, errors.New("its values do not fit the open part")
		}
	}
	for _, s := range j.Seen {
		at, err := x.Circuit.Somewhere(s.At)
		if err != nil {
			return h, err
		}
		if seenWords[s.Seen] == "" {
			return h, fmt.Errorf("nothing looks %q", s.Seen)
		}
		h.Seen = append(h.Seen, circuits.Inspection{At: at, Seen: s.Seen})
	}
	return h, nil
}
