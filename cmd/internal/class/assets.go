package class

import (
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"net/http"
	"path"
	"strconv"

	"ohmtrail/cmd/internal/door"
)

//go:embed assets
var assets embed.FS

func itoa(n int) string { return strconv.Itoa(n) }

// types of the files that pages are made of.
var types = map[string]string{".html": "text/html; charset=utf-8", ".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".svg": "image/svg+xml"}

// assets serves each embedded file under one address, and nothing by a name that a request makes up. A browser asks each
// time whether its copy is still the right one.
func (c *Class) assets() {
	entries, err := assets.ReadDir("assets")
	if err != nil {
		panic("the pages are compiled in: " + err.Error())
	}
	for _, e := range entries {
		body, err := assets.ReadFile("assets/" + e.Name())
		if err != nil {
			panic("the pages are compiled in: " + err.Error())
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
		case "student.html":
			c.mux.HandleFunc("GET /{$}", func(w http.ResponseWriter, r *http.Request) {
				if door.PassOf(r) == TrainerPass && !r.URL.Query().Has("student") {
					http.Redirect(w, r, "/board", http.StatusSeeOther)
					return
				}
				serve(w, r)
			})
		case "board.html":
			c.mux.HandleFunc("GET /board", c.trainers(serve))
		default:
			c.mux.HandleFunc("GET /assets/"+e.Name(), serve)
		}
	}
}
