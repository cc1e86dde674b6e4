package view

import (
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/solver/plan"
)

// Surprise says that a value was not foreseen: what was, which slip would explain it.
func (v Planned) Surprise(s plan.Suggestion, taken circuits.Reading, x plan.Surprise) string {
	var ranges, slips []string
	for i, o := range x.Foreseen {
		if i < 3 {
			ranges = append(ranges, v.shows(s.Reading, o)+" ("+Percent(o.Probability)+")")
		}
	}
	words := held(Read(taken)) + " was not foreseen; foreseen was " + orList(ranges) + "."
	for _, k := range x.Slips {
		slips = append(slips, slipWords[k])
	}
	if len(slips) > 0 {
		return words + " It would show so if " + strings.Join(slips, ", or if ") + "."
	}
	return words + " No slip that is common would explain it."
}

var slipWords = map[plan.SlipKind]string{
	plan.SlipMissed:     "a probe did not touch",
	plan.SlipMilli:      "the meter stood on thousandths (type an m behind the value)",
	plan.SlipLeads:      "the leads are changed over",
	plan.SlipKeyOff:     "the key is off",
	plan.SlipStillApart: "the machine still stands as the last reading left it",
	plan.SlipNotParted:  "what was to be parted or joined is not",
}
