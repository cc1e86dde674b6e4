package main

import (
	"runtime/debug"
	"strings"
)

// version says which build this is: the module's version, or the commit that it was built from.
func version() string {
	build, ok := debug.ReadBuildInfo()
	if !ok {
		return "(unknown build)"
	}
	var commit, when, changed string
	for _, s := range build.Settings {
		switch s.Key {
		case "vcs.revision":
			commit = s.Value[:min(12, len(s.Value))]
		case "vcs.time":
			when, _, _ = strings.Cut(s.Value, "T")
		case "vcs.modified":
			if s.Value == "true" {
				changed = "changed since"
			}
		}
	}
	parts := []string{build.Main.Version}
	for _, s := range []string{commit, when, changed, build.GoVersion} {
		if s != "" {
			parts = append(parts, s)
		}
	}
	return strings.Join(parts, " ")
}
