// Package trial puts the reasoning to the test: machines with their own tolerances and a hidden fault answer readings as
// real ones would, and orders of taking readings are compared by what they find and what it costs.
package trial
