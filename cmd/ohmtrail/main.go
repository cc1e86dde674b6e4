// Command ohmtrail says where a harness is at fault, from its wiring diagram and a few readings, and how sure that is.
package main

import "os"

func main() {
	os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}
