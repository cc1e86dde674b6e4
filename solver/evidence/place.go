package evidence

import (
	"math"
	"slices"

	"ohmtrail/circuits"
	"ohmtrail/solver/network"
)

// place puts a fault into the networks, each as it is asked for.
func (b *bench) place(f circuits.Single) {
	w := b.w
	b.fault, b.wrong, b.forced, b.shows = f, -1, "", f.Shows
	copy(b.on, w.on)
	wrong := readsOff(f)
	if wrong {
		b.forced = f.At.From.Place
		if k, continuous := w.wrongAt[b.forced]; continuous {
			b.wrong = k
		}
	}
	for i := range w.obs {
		o := &w.obs[i]
		b.trays[i].own = wrong && !o.sound && w.leansOn(o, b.forced)
		b.trays[i].felt = (!wrong || b.trays[i].own) && !o.sound || w.healthy == nil
		b.trays[i].weak, b.trays[i].latest.fine = false, false
		b.trays[i].count = len(o.scenes)
		if b.trays[i].own && b.wrong >= 0 {
			b.trays[i].count = 1 + scenarioCount
		}
		clear(b.trays[i].placed)
		clear(b.trays[i].minds)
	}
}

// caseOf is the fault in one network of an observation.
func (b *bench) caseOf(i, k int) *network.Case {
	if !b.trays[i].placed[k] {
		b.put(&b.trays[i].cases[k], b.sceneOf(i, k), i, b.fault)
		b.trays[i].placed[k] = true
	}
	return &b.trays[i].cases[k]
}

// renew forgets the networks in which the fault was put.
func (b *bench) renew() {
	for i := range b.trays {
		clear(b.trays[i].placed)
		b.trays[i].latest.fine = false
	}
}

// sceneOf is one network of an observation: where the search for the unknown stimuli begins, or in their k-th joint setting.
func (b *bench) sceneOf(i, k int) *network.Scene {
	o := &b.w.obs[i]
	if !b.trays[i].own {
		return o.scenes[k]
	}
	if k == 0 {
		return b.w.sceneOf(o, b.settings(o, b.w.start))
	}
	set := b.w.scen.stimuli(b.w.j, o.r, min(k, len(b.w.scen.sets))-1)
	if set[b.forced] = b.shows; b.wrong >= 0 {
		set[b.forced] = b.cellOf(k, b.wrong)
	}
	return b.w.sceneOf(o, set)
}

// sceneAt is the network of an observation with the unknown stimuli elsewhere.
func (b *bench) sceneAt(i int, at []float64) *network.Scene {
	return b.w.sceneOf(&b.w.obs[i], b.settings(&b.w.obs[i], at))
}

// faultAt is the fault at an observation: none on the sound machine beside it, or where it was away.
func (b *bench) faultAt(i int, f circuits.Single) circuits.Single {
	if b.w.obs[i].sound || b.trays[i].away {
		return circuits.Single{}
	}
	return f
}

// settings are the stimuli at an observation with the unknown ones at those places, what a part that reads wrong shows among
// them.
func (b *bench) settings(o *observation, at []float64) map[string]float64 {
	set := b.w.settings(o, at, b.on)
	if o.sound {
		return set
	}
	if b.wrong >= 0 {
		set[b.forced] = at[b.wrong]
	} else if b.forced != "" {
		set[b.forced] = b.shows
	}
	return set
}

// unfeltShare is the share of a reading's standard deviation below which a change of its prediction is none.
const unfeltShare = 0.05

// weakShare is likewise the share up to which a value is reckoned to lean on what that of a sound machine leans on.
const weakShare = 0.3

// unfelt tells whether no reading feels the fault that was begun: then it is weighed as healthy is.
func (b *bench) unfelt(f circuits.Single) bool {
	return b.w.healthy != nil && !readsOff(f) && !slices.ContainsFunc(b.trays, func(t tray) bool { return t.felt })
}

// faint tells whether no reading feels more than little of the fault that was begun: nothing that is unknown goes elsewhere for it.
func (b *bench) faint() bool {
	for i := range b.w.obs {
		if !b.like(i) {
			return false
		}
	}
	return b.w.healthy != nil
}

// findFelt finds the observations that feel a fault at its most severe; what does not is what it is of a sound machine. Two settings
// of the unknown stimuli are looked at, so that two sensors which happen to show the same voltage in one do not hide a bridge
// between them.
func (b *bench) findFelt(f circuits.Single, cells []cell) {
	if b.w.healthy == nil || readsOff(f) {
		return
	}
	severe := cells[0] // a dead short
	if f.Kind == circuits.HighResistance {
		severe = cells[len(cells)-1]
	}
	ohms := severe.ohms(f)
	if byStrip(f) {
		f = severe.placed(f)
		b.place(f)
	}
	if b.survey == nil {
		b.survey = b.w.surveyed()
	}
	defer func() {
		for _, name := range b.blows(f, ohms) {
			for i, felt := range b.w.fuses.felt[name] {
				if felt {
					b.trays[i].felt, b.trays[i].weak = true, false
				}
			}
		}
	}()
	bounds := b.survey.Bounds(f, ohms)
	at := 0
	for i := range b.w.obs {
		o := &b.w.obs[i]
		b.trays[i].felt, b.trays[i].weak = false, true
		for k := range min(2, len(o.scenes)) {
			bound := bounds[at]
			at++
			if o.sound || !b.trays[i].weak || bound < unfeltShare*o.sigma {
				continue
			}
			b.caseOf(i, k).Value(ohms, &b.pred)
			sound := &o.healthy[k]
			b.trays[i].felt = b.trays[i].felt || feels(o, &b.pred, sound)
			b.trays[i].weak = b.pred.Status == sound.Status && math.Abs(b.pred.Value-sound.Value) < weakShare*o.sigma
		}
	}
}

// surveyed are the first two networks of each observation, to be looked at together.
func (w *Scales) surveyed() *network.Survey {
	var scenes []*network.Scene
	for i := range w.obs {
		scenes = append(scenes, w.obs[i].scenes[:min(2, len(w.obs[i].scenes))]...)
	}
	return network.NewSurvey(scenes)
}
