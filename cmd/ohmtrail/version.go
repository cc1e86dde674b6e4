package main

import (
	"runtime/debug"
	"strings"
)

// version says which build this is: the module's version, which names the commit; or "(devel)" with the commit where one
// is known.
func version() string {
	build, ok := debug.ReadBuildInfo()
	if !ok {
		return "(unknown build)"
	}
	parts := []string{build.Main.Version}
	if build.Main.Version == "(devel)" {
		for _, s := range build.Settings {
			if s.Key == "vcs.revision" {
				parts = append(parts, s.Value[:min(12, len(s.Value))])
			}
		}
	}
	return strings.Join(append(parts, build.GoVersion), " ")
}
