// Package class serves a class: students play exercises on their phones, the trainer watches on a board.
//
//	c, err := class.New(class.Options{Folder: "friday", Now: time.Now})
//	d, err := door.Open(door.Options{Locked: true, LAN: true, Passes: class.Passes()})
//	d.WhenClosing(c.Close)
//	err = d.Serve(ctx, c)
//
// The folder holds the exercise files of `exercise make`. Two kinds of people come in, by two passes: students, who join
// with a name and get one exercise each, dealt so that neighbours differ; and the trainer, who chooses what is played,
// starts and closes a round, and sees how far each student is.
//
// The machine with its fault lives here, never on a phone: what is sent to a student holds the open part of an exercise,
// the replies to what was asked, and, once the student has committed to a finding (and, if the trainer wants it so, once
// the round is closed), the marks. Every step is on disk before it is answered: a round survives a restart of the
// program, a lost connection, a page that is closed.
//
// Weighing readings is work of some tenths of a second each; it is done by one goroutine behind a queue that holds each
// student once, so that no answer waits for it.
package class
