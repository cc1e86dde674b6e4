// Package view turns what the reasoning found into what is shown: the JSON that programs rely on, and text for a
// terminal as narrow as a phone. It computes nothing and prints nothing; commands and pages print what it returns.
package view
