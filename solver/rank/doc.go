// Package rank turns the evidence of a job into probabilities: of faults, of pairs of faults where no single one explains
// the readings, of groups that no reading so far tells apart, and of places to repair.
package rank
