package door

import (
	"context"
	"encoding/json"
	"net"
	"net/http"
	"os"
	"runtime/debug"
	"strings"
)

// contentPolicy lets a page load from this server alone, and nothing inline.
const contentPolicy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; " +
	"connect-src 'self'; manifest-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// headers go with every answer. A handler may set Cache-Control anew, for assets that never change under their name.
var headers = [][2]string{
	{"Content-Security-Policy", contentPolicy},
	{"X-Content-Type-Options", "nosniff"},
	{"X-Frame-Options", "DENY"},
	{"Referrer-Policy", "no-referrer"},
	{"Cross-Origin-Resource-Policy", "same-origin"},
	{"Cross-Origin-Opener-Policy", "same-origin"},
	{"Permissions-Policy", "camera=(), microphone=(), geolocation=()"},
	{"Cache-Control", "no-store"},
}

// usualBody is the largest body where Options.BodyBytes says nothing.
const usualBody = 1 << 20

// guard puts everything that a request must pass before a page.
func (d *Door) guard(page http.Handler) http.Handler {
	writes := http.NewCrossOriginProtection()
	names := d.names()
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		for _, h := range headers {
			w.Header().Set(h[0], h[1])
		}
		defer d.contain(w, r)
		switch {
		case !names.has(r.Host):
			Refuse(w, http.StatusMisdirectedRequest, "this page is not served under the name "+clip(r.Host))
			return
		case writes.Check(r) != nil, foreignRead(r):
			Refuse(w, http.StatusForbidden, "another site's page asked for this; open the page itself")
			return
		}
		limit := int64(usualBody)
		if d.options.BodyBytes != nil {
			if n := d.options.BodyBytes(r); n > 0 {
				limit = n
			}
		}
		if r.ContentLength > limit {
			w.Header().Set("Connection", "close")
			Refuse(w, http.StatusRequestEntityTooLarge, "this is more than is taken here")
			return
		}
		r.Body = http.MaxBytesReader(w, r.Body, limit)
		if strings.HasPrefix(r.URL.Path, ownPath) {
			d.own(w, r)
			return
		}
		kind, in := d.admitted(r)
		if !in {
			d.turnAway(w, r)
			return
		}
		page.ServeHTTP(w, r.WithContext(context.WithValue(r.Context(), passKey{}, kind)))
	})
}

// contain turns a panic into an answer and a line in the log. http.ErrAbortHandler is the standard library's way to
// hang up.
func (d *Door) contain(w http.ResponseWriter, r *http.Request) {
	p := recover()
	switch {
	case p == nil:
	case p == http.ErrAbortHandler:
		panic(p)
	default:
		d.log.Printf("our mistake in %s %s: %v\n%s", r.Method, r.URL.Path, p, debug.Stack())
		Refuse(w, http.StatusInternalServerError, "this program made a mistake; the terminal it runs in says which. Nothing was written half")
	}
}

// foreignRead tells whether another site's page asks, other than by a visit of its reader. Browsers say so where they
// trust the connection; where they do not, no other site's page can read the answer.
func foreignRead(r *http.Request) bool {
	site, mode := r.Header.Get("Sec-Fetch-Site"), r.Header.Get("Sec-Fetch-Mode")
	return (site == "cross-site" || site == "same-site") && mode != "navigate"
}

// Refuse answers with a status and {"error": words}.
func Refuse(w http.ResponseWriter, status int, words string) {
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	json.NewEncoder(w).Encode(map[string]string{"error": words})
}

// names are the hosts under which this machine is asked. An address is never a rebound name; a name must be our own.
type names struct {
	lan  bool
	mine map[string]bool
}

func (d *Door) names() names {
	n := names{lan: d.options.LAN, mine: map[string]bool{"localhost": true}}
	if host, err := os.Hostname(); d.options.LAN && err == nil && host != "" {
		first, _, _ := strings.Cut(strings.ToLower(host), ".")
		n.mine[strings.ToLower(host)] = true
		n.mine[first] = true
		n.mine[first+".local"] = true
	}
	return n
}

// has tells whether a Host header names this machine, on whatever port (a tunnel may have changed it).
func (n names) has(host string) bool {
	name := host
	if h, _, err := net.SplitHostPort(host); err == nil {
		name = h
	}
	name = strings.ToLower(strings.Trim(name, "[]"))
	if ip := net.ParseIP(name); ip != nil {
		return n.lan || ip.IsLoopback()
	}
	return n.mine[strings.TrimSuffix(name, ".")]
}

// clip keeps a foreign text short in a message.
func clip(s string) string {
	if len(s) > 80 {
		return s[:80] + "…"
	}
	return s
}
