//go:build race

package class_test

const raced = true
