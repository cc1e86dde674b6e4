package door

import (
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"net/http"
	"path"
)

// types of the files that pages are made of.
var types = map[string]string{
	".html": "text/html; charset=utf-8", ".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8",
	".svg": "image/svg+xml", ".json": "application/json", ".webmanifest": "application/manifest+json",
}

// Files are handlers for the files of a folder that is compiled in, by name. A browser asks each time whether its copy is
// still the right one: a page of an older program would speak another language. That the folder is not there is our own
// mistake.
func Files(compiled embed.FS, folder string) map[string]http.HandlerFunc {
	entries, err := compiled.ReadDir(folder)
	if err != nil {
		panic("the page's files are compiled in: " + err.Error())
	}
	out := map[string]http.HandlerFunc{}
	for _, e := range entries {
		body, err := compiled.ReadFile(folder + "/" + e.Name())
		if err != nil {
			panic("the page's files are compiled in: " + err.Error())
		}
		sum := sha256.Sum256(body)
		tag := `"` + hex.EncodeToString(sum[:8]) + `"`
		out[e.Name()] = func(w http.ResponseWriter, r *http.Request) {
			w.Header().Set("Cache-Control", "no-cache")
			w.Header().Set("ETag", tag)
			if r.Header.Get("If-None-Match") == tag {
				w.WriteHeader(http.StatusNotModified)
				return
			}
			w.Header().Set("Content-Type", types[path.Ext(e.Name())])
			w.Write(body)
		}
	}
	return out
}
