package class

import (
	"embed"
	"net/http"
	"strconv"

	"ohmtrail/cmd/internal/door"
	"ohmtrail/cmd/internal/page"
)

//go:embed assets
var assets embed.FS

func itoa(n int) string { return strconv.Itoa(n) }

// assets serves each embedded file under one address, and nothing by a name that a request makes up.
func (c *Class) assets() {
	for name, serve := range page.Files() {
		c.mux.HandleFunc("GET /assets/"+name, serve)
	}
	for name, serve := range door.Files(assets, "assets") {
		switch name {
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
			c.mux.HandleFunc("GET /assets/"+name, serve)
		}
	}
}
