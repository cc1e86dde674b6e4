// Package page is what the pages in a browser stand on: a circuit as a page is sent it, and the scripts and styles that
// every page has. It knows no job and no class.
//
//	for name, serve := range page.Files() { mux.HandleFunc("GET /assets/"+name, serve) }
//	parts := page.Parts(circuit) // with the points that a lead can touch
package page

import (
	"embed"
	"net/http"

	"ohmtrail/cmd/internal/door"
)

//go:embed assets
var assets embed.FS

// Files are handlers for the scripts and styles that every page has, by name.
func Files() map[string]http.HandlerFunc { return door.Files(assets, "assets") }
