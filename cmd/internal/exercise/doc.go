// Package exercise makes machines with hidden faults out of a circuit, and plays them: a Machine answers any reading that
// a student asks for as the real one would, and a Play keeps what was asked, what it showed and what it cost.
//
// It is values in, values out: it opens no file, knows no terminal, no clock and no unseeded chance. An Exercise is only
// read and may be shared by many goroutines; a Play belongs to one student and is used by one goroutine at a time.
//
//	x, err := exercise.Read("07.exercise.toml", text) // or one of Make's
//	p := exercise.NewPlay(x, "Kim")
//	a, err := exercise.Parse(x, "volts MHS:2 unplug MHS") // err: a point that does not exist, with what was meant
//	a.Reason = "is the feed there?"
//	reply := p.Do(a)                                       // reply.Refused, reply.Words, reply.Minutes, reply.Reading
//	text := p.Text()                                       // the whole play, to be written after each step
//	p, err = exercise.Resume(name, text)                    // and taken up again
//
// Package marking marks a play after its finding.
package exercise
