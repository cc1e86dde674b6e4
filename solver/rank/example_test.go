package rank_test

import (
	"fmt"

	"ohmtrail/circuits/library"
	"ohmtrail/circuits/read"
	"ohmtrail/solver/rank"
)

func ExampleRank() {
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
	for _, p := range r.Places()[:1] {
		fmt.Printf("%s (%s) %.0f %%\n", p.Place, p.Leading, 100*p.Probability)
	}
	// Output:
	// ECT (device ECT: open inside) 30 %
}
