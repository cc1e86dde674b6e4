package web

import (
	"embed"

	"ohmtrail/cmd/internal/door"
	"ohmtrail/cmd/internal/page"
)

//go:embed assets
var assets embed.FS

// assets serves each embedded file under one address, and nothing by a name that a request makes up.
func (p *Page) assets() {
	for name, serve := range page.Files() {
		p.mux.HandleFunc("GET /assets/"+name, serve)
	}
	for name, serve := range door.Files(assets, "assets") {
		switch name {
		case "folder.html":
			p.mux.HandleFunc("GET /{$}", serve)
		case "job.html":
			p.mux.HandleFunc("GET /job", serve)
		default:
			p.mux.HandleFunc("GET /assets/"+name, serve)
		}
	}
}
