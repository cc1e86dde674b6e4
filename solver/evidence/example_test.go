package evidence_test

import (
	"fmt"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/circuits/read"
	"ohmtrail/solver/evidence"
)

func ExampleExpect() {
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
	healthy := evidence.Expect(job, job.Readings[0], circuits.Fault{})
	fmt.Printf("%.2f V, within %.1f and %.1f V\n", healthy.Value, healthy.Low, healthy.High)
	fault, _ := circuits.ParseFault("open C101:7")
	fault, _ = job.Circuit.ResolveFault(fault)
	fmt.Printf("%.2f V\n", evidence.Expect(job, job.Readings[0], fault).Value)
	// Output:
	// 3.57 V, within 3.4 and 3.8 V
	// 5.00 V
}
