package plan

import (
	"ohmtrail/circuits"
	"ohmtrail/solver/rank"
)

// fewMinutes is what a reading may take for nothing to be called done without it.
const fewMinutes = 5

// scanned tells whether nothing was done yet but to look at what the scan tool shows: no meter was used, no plug was parted and no
// terminals were joined. Of a symptom that comes and goes a meter shows no opposite while it is away, and a
// watched scan value catches it: there it does not count.
func scanned(r *rank.Ranking) bool {
	if r.Job.Intermittent {
		return false
	}
	for _, n := range r.Taken {
		if !onlyLooks(r.Job.Readings[n]) {
			return false
		}
	}
	return true
}

// onlyLooks tells whether a reading is a scan value of the machine as it stands. One with a plug apart or terminals joined is a test.
func onlyLooks(r circuits.Reading) bool {
	return r.Quantity == circuits.ScanVolts && len(r.State.Unplugged)+len(r.State.Jumpers)+len(r.State.Loads) == 0
}
