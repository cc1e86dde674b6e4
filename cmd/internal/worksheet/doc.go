// Package worksheet makes sheets to be filled in by hand, and their key, out of a circuit: predict before any meter what
// each test point reads, healthy and under a named fault, and say why; say which fault explains some readings; choose
// the next reading.
//
//	s, err := worksheet.Make(worksheet.Subject{Name: "throttle", Job: job}, worksheet.Options{Kinds: worksheet.Kinds(), Seed: 1})
//	sheet := worksheet.Document([]worksheet.Sheet{s}) // for students: no answer in it
//	key := worksheet.Key([]worksheet.Sheet{s})        // for the trainer
//
// Every number of the key is one of the solver (evidence.Expect, rank.Rank, plan.Weigh), rounded as Shown says. It is
// values in, values out: no file, no clock, no unseeded chance; the same subject and seed give the same sheet.
package worksheet
