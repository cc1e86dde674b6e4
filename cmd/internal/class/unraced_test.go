//go:build !race

package class_test

// raced tells whether the race detector is on, which makes everything some five times slower.
const raced = false
