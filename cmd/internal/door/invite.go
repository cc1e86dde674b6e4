package door

import (
	"fmt"
	"net"
	"net/http"
	"slices"
	"strings"

	"rsc.io/qr"
)

// Invitation is how people come in with one kind of pass.
type Invitation struct {
	Pass string   // its kind
	Code string   // to be typed: "7QK2M-XW94T"; "" where the door needs none
	URLs []string // addresses with the code in the fragment, the likeliest first; with LAN, one for each network
	Page string   // the likeliest address without the code, to be typed
}

// Invitations are the ways in, one for each kind of pass, in the order of Options.Passes. They are worked out anew each
// time, for a laptop changes networks.
func (d *Door) Invitations() []Invitation {
	hosts := []string{"127.0.0.1"}
	if d.options.LAN {
		if near := localAddresses(); len(near) > 0 {
			hosts = near
		}
	}
	var out []Invitation
	for _, p := range d.passes {
		i := Invitation{Pass: p.kind}
		fragment := ""
		if d.NeedsPass() {
			i.Code = p.code[:codeLetters/2] + "-" + p.code[codeLetters/2:]
			fragment = "#in=" + p.code
		}
		for _, host := range hosts {
			i.URLs = append(i.URLs, fmt.Sprintf("http://%s/%s", net.JoinHostPort(host, fmt.Sprint(d.Port())), fragment))
		}
		i.Page = strings.TrimSuffix(i.URLs[0], fragment)
		out = append(out, i)
	}
	return out
}

// localAddresses are this machine's addresses on local networks, the one that leads outwards first.
func localAddresses() []string {
	var out []string
	all, err := net.InterfaceAddrs()
	if err != nil {
		return nil
	}
	for _, a := range all {
		if n, ok := a.(*net.IPNet); ok && n.IP.To4() != nil && n.IP.IsGlobalUnicast() {
			out = append(out, n.IP.String())
		}
	}
	// A datagram socket asks the routes which address it would send from; it sends nothing.
	if c, err := net.Dial("udp4", "192.0.2.1:9"); err == nil {
		first := c.LocalAddr().(*net.UDPAddr).IP.String()
		c.Close()
		if at := slices.Index(out, first); at > 0 {
			out = slices.Concat([]string{first}, out[:at], out[at+1:])
		}
	}
	return out
}

// picture is the QR code of the likeliest address.
func (i Invitation) picture() *qr.Code {
	code, err := qr.Encode(i.URLs[0], qr.M)
	if err != nil {
		panic("an address is too long for a QR code: " + err.Error())
	}
	return code
}

// quiet is the white border that a QR code needs, in modules (ISO/IEC 18004).
const quiet = 4

// SVG is the QR code of the likeliest address, black on white, to stand on a page or a projector. It holds the code, so
// it is shown only to who may hand it on.
func (i Invitation) SVG() string {
	code := i.picture()
	var path strings.Builder
	for y := range code.Size {
		for x := range code.Size {
			if code.Black(x, y) {
				fmt.Fprintf(&path, "M%d %dh1v1h-1z", x+quiet, y+quiet)
			}
		}
	}
	size := code.Size + 2*quiet
	return fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" shape-rendering="crispEdges" role="img">`+
		`<title>QR code of %s</title><path fill="#fff" d="M0 0h%dv%dH0z"/><path fill="#000" d="%s"/></svg>`,
		size, size, i.Page, size, size, path.String())
}

// Text is the QR code as text blocks for a terminal, two modules a line. Its colours are set, for many cameras do not
// read white on black; so it is for terminals only.
func (i Invitation) Text() string {
	code := i.picture()
	black := func(x, y int) bool { return code.Black(x-quiet, y-quiet) }
	var b strings.Builder
	for y := 0; y < code.Size+2*quiet; y += 2 {
		b.WriteString("\x1b[38;5;16;48;5;231m")
		for x := range code.Size + 2*quiet {
			switch upper, lower := black(x, y), black(x, y+1); {
			case upper && lower:
				b.WriteString("█")
			case upper:
				b.WriteString("▀")
			case lower:
				b.WriteString("▄")
			default:
				b.WriteString(" ")
			}
		}
		b.WriteString("\x1b[0m\n")
	}
	return b.String()
}

// invite shows the QR code of a kind of pass (?pass=KIND; without it, of the first) to those who came in with the first
// kind: a trainer invites learners, a learner nobody.
func (d *Door) invite(w http.ResponseWriter, r *http.Request) {
	kind, in := d.admitted(r)
	if !in || kind != d.passes[0].kind {
		Refuse(w, http.StatusUnauthorized, "only who is inside may invite")
		return
	}
	want := d.passes[0].kind
	if r.URL.Query().Has("pass") {
		want = r.URL.Query().Get("pass")
	}
	for _, i := range d.Invitations() {
		if i.Pass == want {
			w.Header().Set("Content-Type", "image/svg+xml")
			fmt.Fprint(w, i.SVG())
			return
		}
	}
	Refuse(w, http.StatusNotFound, "there is no such pass")
}
