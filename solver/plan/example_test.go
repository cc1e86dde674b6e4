package plan_test

import (
	"fmt"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/circuits/read"
	"ohmtrail/solver/plan"
	"ohmtrail/solver/rank"
)

func ExampleNext() {
	job, _ := read.Job("cold.job.toml", []byte(`format = 1
circuit = "library:coolant-temperature"
[assume]
ECT = 20
[[reading]]
at = "ECU:A12"
scan_volts = 4.995
`), func(name string) (string, []byte, error) {
		text, err := library.Text(name)
		return name, text, err
	})
	r := rank.Rank(job)
	next := plan.Next(&r)
	best := next.Suggestions[0]
	fmt.Println(next.Done, circuits.ReadingKey(best.Reading), best.Minutes)
	for _, o := range best.Outcomes[:2] {
		fmt.Println(o.Faults[0])
	}
	// Output:
	// false volts ECT:1 B- on [] 3
	// device ECT: open inside
	// open C101:7
}
