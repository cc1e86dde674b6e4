// Package hypothesis lists what may be wrong with a circuit before anybody measures: every fault with its prior weight and
// the reason for it, the ways in which a repair may have gone wrong, and what putting a fault right takes.
package hypothesis
