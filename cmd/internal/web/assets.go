package web

import (
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"net/http"
	"path"
)

//go:embed assets
var assets embed.FS

// types of the files that pages are made of.
var types = map[string]string{
	".html": "text/html; charset=utf-8", ".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8",
	".svg": "image/svg+xml", ".json": "application/json", ".webmanifest": "application/manifest+json",
}

// assets serves each embedded file under one address, and nothing by a name that a request makes up. A browser asks each
// time whether its copy is still the right one: a page of an older program would speak another language.
func (p *Page) assets() {
	entries, err := assets.ReadDir("assets")
	if err != nil {
		panic("the page's files are compiled in: " + err.Error())
	}
	for _, e := range entries {
		body, err := assets.ReadFile("assets/" + e.Name())
		if err != nil {
			panic("the page's files are compiled in: " + err.Error())
		}
		sum := sha256.Sum256(body)
		tag := `"` + hex.EncodeToString(sum[:8]) + `"`
		serve := func(w http.ResponseWriter, r *http.Request) {
			w.Header().Set("Cache-Control", "no-cache")
			w.Header().Set("ETag", tag)
			if r.Header.Get("If-None-Match") == tag {
				w.WriteHeader(http.StatusNotModified)
				return
			}
			w.Header().Set("Content-Type", types[path.Ext(e.Name())])
			w.Write(body)
		}
		switch e.Name() {
		case "folder.html":
			p.mux.HandleFunc("GET /{$}", serve)
		case "job.html":
			p.mux.HandleFunc("GET /job", serve)
		default:
			p.mux.HandleFunc("GET /assets/"+e.Name(), serve)
		}
	}
}
