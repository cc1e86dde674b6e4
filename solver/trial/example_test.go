package trial_test

import (
	"fmt"

	"ohmtrail/circuits/library"
	"ohmtrail/solver/trial"
)

func ExampleRun() {
	c, _ := library.Circuit("library:coolant-temperature")
	found := trial.Run(c, "coolant-temperature", trial.Setup{Seed: 1}, 0, trial.BestPerMinute)
	fmt.Println(found.Done, found.PlaceRight)
	// Output:
	// true true
}
