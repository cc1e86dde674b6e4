package read_test

import (
	"fmt"

	"ohmtrail/circuits/library"
	"ohmtrail/circuits/read"
)

// fromLibrary hands over the text of a circuit that comes along; another one would be read from a folder.
func fromLibrary(name string) (file string, text []byte, err error) {
	text, err = library.Text(name)
	return name, text, err
}

func ExampleJob() {
	job, problems := read.Job("cold.job.toml", []byte(`format = 1
circuit = "library:coolant-temperature"
[[reading]]
at = "ECU:A12"
scan_volts = 4.995
`), fromLibrary)
	fmt.Println(job.Circuit.Title, len(problems))
	fmt.Println(job.Readings[0].At, job.Readings[0].Value)

	_, problems = read.Job("cold.job.toml", []byte(`format = 1
circuit = "library:coolant-temperature"
[[reading]]
at = "ECU:A99"
scan_volts = 4.995
`), fromLibrary)
	for _, p := range problems {
		fmt.Println(p)
	}
	// Output:
	// Engine coolant temperature, two-wire NTC 0
	// ECU:A12 4.995
	// cold.job.toml:4: reading 1: at: the module ECU has no cavity A99; it has A12, A24, B1, B5
}
