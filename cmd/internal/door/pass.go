package door

import (
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"embed"
	"encoding/base32"
	"encoding/json"
	"io"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"
)

// ownPath is the part of the address space that the door keeps for itself: the entry page's files, POST /door/in, and
// for those inside GET /door/invite.svg.
const ownPath = "/door/"

//go:embed entry
var entry embed.FS

// letters of a code: no I, L, O, U, which are misread (Crockford's base 32).
var letters = base32.NewEncoding("0123456789ABCDEFGHJKMNPQRSTVWXYZ").WithPadding(base32.NoPadding)

// codeLetters are 50 bits. With mostWrong wrong answers at once, each wrongTime long, all codes take 80 000 years.
const (
	codeLetters = 10
	mostWrong   = 100
	wrongTime   = 250 * time.Millisecond
)

// pass is one kind of people's way in. The cookie is another secret than the code.
type pass struct{ kind, code, cookie string }

func newPass(kind string) pass {
	random := make([]byte, 24) // crypto/rand never fails: it ends the program where the system has no randomness
	rand.Read(random)
	return pass{kind: kind, code: letters.EncodeToString(random[:8])[:codeLetters], cookie: letters.EncodeToString(random[8:])}
}

type passKey struct{}

// PassOf is the kind of pass that a request came in with; "" where the door asks for none. With several passes and no
// need for one (a door of this machine alone) it is the first.
func PassOf(r *http.Request) string {
	kind, _ := r.Context().Value(passKey{}).(string)
	return kind
}

// cookieName differs by port, for browsers share cookies among the ports of one host.
func (d *Door) cookieName() string { return "ohmtrail-" + strconv.Itoa(d.Port()) }

// admitted tells with which kind of pass a request may come in.
func (d *Door) admitted(r *http.Request) (kind string, ok bool) {
	if !d.NeedsPass() {
		return d.passes[0].kind, true
	}
	for _, c := range r.CookiesNamed(d.cookieName()) {
		for _, p := range d.passes {
			if same(c.Value, p.cookie) {
				return p.kind, true
			}
		}
	}
	return "", false
}

// same compares secrets without telling by the time it takes how far they agree.
func same(a, b string) bool {
	x, y := sha256.Sum256([]byte(a)), sha256.Sum256([]byte(b))
	return subtle.ConstantTimeCompare(x[:], y[:]) == 1
}

// turnAway answers who has no pass: a visitor with the entry page, a program with 401.
func (d *Door) turnAway(w http.ResponseWriter, r *http.Request) {
	if r.Method == http.MethodGet && strings.Contains(r.Header.Get("Accept"), "text/html") {
		d.asset(w, "entry.html", http.StatusUnauthorized)
		return
	}
	Refuse(w, http.StatusUnauthorized, "this page wants the code that its QR picture holds; scan it again")
}

// own answers the door's own addresses.
func (d *Door) own(w http.ResponseWriter, r *http.Request) {
	name := strings.TrimPrefix(r.URL.Path, ownPath)
	switch {
	case name == "in" && r.Method == http.MethodPost:
		d.enter(w, r)
	case (name == "entry.css" || name == "entry.js") && r.Method == http.MethodGet:
		d.asset(w, name, http.StatusOK)
	case name == "invite.svg" && r.Method == http.MethodGet:
		d.invite(w, r)
	default:
		Refuse(w, http.StatusNotFound, "there is nothing here")
	}
}

func (d *Door) asset(w http.ResponseWriter, name string, status int) {
	body, err := entry.ReadFile("entry/" + name)
	if err != nil {
		panic("the entry page lacks " + name)
	}
	w.Header().Set("Content-Type", types[name[strings.LastIndex(name, "."):]])
	w.WriteHeader(status)
	w.Write(body)
}

// enter takes {"code": "…"} and gives the cookie; or the entry page's form as a browser sends it by itself, where its
// script has not come yet, and leads on to the page. The code never stands in an address.
func (d *Door) enter(w http.ResponseWriter, r *http.Request) {
	typed, byForm, err := codeOf(r)
	if err != nil {
		Refuse(w, http.StatusBadRequest, "the code is missing")
		return
	}
	code := tidy(typed)
	for _, p := range d.passes {
		if same(code, p.code) {
			http.SetCookie(w, &http.Cookie{Name: d.cookieName(), Value: p.cookie, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode})
			if byForm {
				http.Redirect(w, r, "/", http.StatusSeeOther)
			} else {
				w.WriteHeader(http.StatusNoContent)
			}
			return
		}
	}
	select {
	case d.wrong <- struct{}{}:
	default:
		w.Header().Set("Retry-After", "2")
		Refuse(w, http.StatusTooManyRequests, "too many wrong codes at once; wait a moment")
		return
	}
	defer func() { <-d.wrong }()
	select {
	case <-time.After(wrongTime):
	case <-r.Context().Done():
	}
	if byForm {
		d.asset(w, "entry.html", http.StatusUnauthorized)
		return
	}
	Refuse(w, http.StatusUnauthorized, "this is not the code; take the one that is shown now")
}

// codeOf is the code that a request brings.
func codeOf(r *http.Request) (code string, byForm bool, err error) {
	body, err := io.ReadAll(io.LimitReader(r.Body, 1<<10))
	if err != nil {
		return "", false, err
	}
	if kind, _, _ := strings.Cut(r.Header.Get("Content-Type"), ";"); kind == "application/x-www-form-urlencoded" {
		values, err := url.ParseQuery(string(body))
		return values.Get("code"), true, err
	}
	var said struct{ Code string }
	err = json.Unmarshal(body, &said)
	return said.Code, false, err
}

// tidy is a code as typed by hand: small letters, spaces and hyphens, and letters that a code never has.
func tidy(typed string) string {
	return strings.NewReplacer(" ", "", "-", "", "O", "0", "I", "1", "L", "1").Replace(strings.ToUpper(typed))
}
