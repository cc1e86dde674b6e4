package door_test

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"strings"
	"sync"
	"testing"
	"time"

	"ohmtrail/cmd/internal/door"
)

// opened is a door that serves for the length of a test.
func opened(t *testing.T, o door.Options, page http.Handler) *door.Door {
	t.Helper()
	o.Port = door.AnyPort
	d, err := door.Open(o)
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() { ended <- d.Serve(ctx, page) }()
	t.Cleanup(func() {
		stop()
		if err := <-ended; err != nil {
			t.Errorf("the door ended with %v", err)
		}
	})
	return d
}

func hello(w http.ResponseWriter, r *http.Request) {
	if body, err := io.ReadAll(r.Body); err != nil {
		door.Refuse(w, http.StatusRequestEntityTooLarge, err.Error())
	} else {
		fmt.Fprintf(w, "hello %s %s", door.PassOf(r), body)
	}
}

// ask sends one request with headers given as "Name: value"; "Host: …" sets the host.
func ask(t *testing.T, client *http.Client, method, url, body string, headers ...string) (*http.Response, string) {
	t.Helper()
	r, err := http.NewRequestWithContext(t.Context(), method, url, strings.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	for _, h := range headers {
		name, value, _ := strings.Cut(h, ": ")
		if name == "Host" {
			r.Host = value
		}
		r.Header.Set(name, value)
	}
	answer, err := client.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	text, err := io.ReadAll(answer.Body)
	if err != nil {
		t.Fatal(err)
	}
	return answer, string(text)
}

func TestWhoComesInOnThisMachine(t *testing.T) {
	d := opened(t, door.Options{}, http.HandlerFunc(hello))
	port := fmt.Sprint(d.Port())
	for _, c := range []struct {
		what, method string
		headers      []string
		want         int
	}{
		{"a visit", "GET", nil, 200},
		{"localhost", "GET", []string{"Host: localhost:" + port}, 200},
		{"another port, as through a tunnel", "GET", []string{"Host: localhost:9999"}, 200},
		{"IPv6 loopback", "GET", []string{"Host: [::1]:" + port}, 200},
		{"a rebound name", "GET", []string{"Host: evil.example:" + port}, 421},
		{"a name that begins like ours", "GET", []string{"Host: localhost.evil.example"}, 421},
		{"a foreign address", "GET", []string{"Host: 192.168.1.20:" + port}, 421},
		{"a program's write", "POST", nil, 200},
		{"the page's own write", "POST", []string{"Origin: " + strings.TrimSuffix(d.URL(), "/")}, 200},
		{"another site's write", "POST", []string{"Origin: http://evil.example"}, 403},
		{"another port's write", "POST", []string{"Origin: http://127.0.0.1:1"}, 403},
		{"a write without an origin from another site", "POST", []string{"Sec-Fetch-Site: cross-site"}, 403},
		{"a sandboxed frame's write", "POST", []string{"Origin: null"}, 403},
		{"another site's picture of us", "GET", []string{"Sec-Fetch-Site: cross-site", "Sec-Fetch-Mode: no-cors"}, 403},
		{"a link on another site", "GET", []string{"Sec-Fetch-Site: cross-site", "Sec-Fetch-Mode: navigate"}, 200},
	} {
		answer, text := ask(t, http.DefaultClient, c.method, d.URL(), "", c.headers...)
		if answer.StatusCode != c.want {
			t.Errorf("%s: %d %q, want %d", c.what, answer.StatusCode, text, c.want)
		}
		policy := answer.Header.Get("Content-Security-Policy")
		if !strings.HasPrefix(policy, "default-src 'none'") || strings.Contains(policy, "unsafe") || answer.Header.Get("X-Content-Type-Options") != "nosniff" {
			t.Errorf("%s: headers %v", c.what, answer.Header)
		}
	}
}

func TestLimitsOfABody(t *testing.T) {
	d := opened(t, door.Options{BodyBytes: func(r *http.Request) int64 {
		if r.URL.Path == "/large" {
			return 3 << 20
		}
		return 0
	}}, http.HandlerFunc(hello))
	two := strings.Repeat("x", 2<<20)
	if answer, _ := ask(t, http.DefaultClient, "POST", d.URL(), two); answer.StatusCode != 413 {
		t.Errorf("2 MB: %d", answer.StatusCode)
	}
	if answer, _ := ask(t, http.DefaultClient, "POST", d.URL()+"large", two); answer.StatusCode != 200 {
		t.Errorf("2 MB where 3 may be: %d", answer.StatusCode)
	}
	r, err := http.NewRequestWithContext(t.Context(), "POST", d.URL(), io.MultiReader(strings.NewReader(two))) // no length is said
	if err != nil {
		t.Fatal(err)
	}
	answer, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	answer.Body.Close()
	if answer.StatusCode != 413 {
		t.Errorf("2 MB in chunks: %d", answer.StatusCode)
	}
}

// lines is a log that several goroutines write.
type lines struct {
	mu   sync.Mutex
	text bytes.Buffer
}

func (l *lines) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.text.Write(p)
}

func (l *lines) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.text.String()
}

func TestAPanicIsAnAnswer(t *testing.T) {
	log := &lines{}
	d := opened(t, door.Options{Log: log}, http.HandlerFunc(func(http.ResponseWriter, *http.Request) {
		var none map[string]int
		none["x"] = 1
	}))
	answer, text := ask(t, http.DefaultClient, "GET", d.URL(), "")
	if answer.StatusCode != 500 || !strings.Contains(text, "mistake") || !strings.Contains(log.String(), "nil map") {
		t.Errorf("%d %q, log %q", answer.StatusCode, text, log.String())
	}
	if answer, _ := ask(t, http.DefaultClient, "GET", d.URL(), ""); answer.StatusCode != 500 {
		t.Error("it did not live on")
	}
}

func TestPasses(t *testing.T) {
	d := opened(t, door.Options{Locked: true, Passes: []string{"trainer", "learner"}}, http.HandlerFunc(hello))
	jar, _ := cookiejar.New(nil)
	client := &http.Client{Jar: jar}
	if answer, text := ask(t, client, "GET", d.URL(), "", "Accept: text/html"); answer.StatusCode != 401 || !strings.Contains(text, "Come in") {
		t.Errorf("a visitor gets %d %q", answer.StatusCode, text)
	}
	if answer, text := ask(t, client, "GET", d.URL()+"api", ""); answer.StatusCode != 401 || !strings.Contains(text, `"error"`) {
		t.Errorf("a program gets %d %q", answer.StatusCode, text)
	}
	learner := d.Invitations()[1]
	address, err := url.Parse(learner.URLs[0])
	if err != nil || learner.Pass != "learner" || address.RawQuery != "" || strings.Contains(learner.Page, "#") {
		t.Fatalf("%+v, %v", learner, err)
	}
	began := time.Now()
	if answer, _ := ask(t, client, "POST", d.URL()+"door/in", `{"code":"00000-00000"}`); answer.StatusCode != 401 {
		t.Errorf("a wrong code: %d", answer.StatusCode)
	}
	if time.Since(began) < 200*time.Millisecond {
		t.Error("a wrong code is answered fast")
	}
	typed := strings.ToLower(strings.ReplaceAll(strings.ReplaceAll(learner.Code, "0", "o"), "1", "l"))
	answer, text := ask(t, client, "POST", d.URL()+"door/in", fmt.Sprintf(`{"code":%q}`, typed))
	if answer.StatusCode != 204 {
		t.Fatalf("%q: %d %q", typed, answer.StatusCode, text)
	}
	cookie := answer.Header.Get("Set-Cookie")
	if !strings.Contains(cookie, "HttpOnly") || !strings.Contains(cookie, "SameSite=Strict") || strings.Contains(cookie, strings.ReplaceAll(learner.Code, "-", "")) {
		t.Errorf("cookie %q", cookie)
	}
	form := "Content-Type: application/x-www-form-urlencoded"
	if answer, text := ask(t, client, "POST", d.URL()+"door/in", "code=wrong", form); answer.StatusCode != 401 || !strings.Contains(text, "Come in") {
		t.Errorf("a wrong code by the form alone: %d %q", answer.StatusCode, text)
	}
	other, _ := cookiejar.New(nil)
	if answer, text := ask(t, &http.Client{Jar: other}, "POST", d.URL()+"door/in", "code="+learner.Code, form); answer.Request.URL.String() != d.URL() || text != "hello learner " {
		t.Errorf("by the form alone: %s %q", answer.Request.URL, text)
	}
	if _, text := ask(t, client, "GET", d.URL(), ""); text != "hello learner " {
		t.Errorf("inside: %q", text)
	}
	if answer, _ := ask(t, client, "GET", d.URL()+"door/invite.svg?pass=trainer", ""); answer.StatusCode != 401 {
		t.Errorf("a learner invites trainers: %d", answer.StatusCode)
	}
}

// TestAGuesserIsSlow fires wrong codes all at once: most are turned away, and the right code still gets in at once.
func TestAGuesserIsSlow(t *testing.T) {
	d := opened(t, door.Options{Locked: true}, http.HandlerFunc(hello))
	var busy sync.Map
	var all sync.WaitGroup
	began := time.Now()
	for n := range 300 {
		all.Go(func() {
			answer, err := http.Post(d.URL()+"door/in", "application/json", strings.NewReader(`{"code":"0000000000"}`))
			if err == nil {
				busy.Store(n, answer.StatusCode)
				answer.Body.Close()
			}
		})
	}
	answer, _ := ask(t, http.DefaultClient, "POST", d.URL()+"door/in", fmt.Sprintf(`{"code":%q}`, d.Invitations()[0].Code))
	if answer.StatusCode != 204 {
		t.Errorf("the right code: %d", answer.StatusCode)
	}
	all.Wait()
	count := map[int]int{}
	busy.Range(func(_, status any) bool { count[status.(int)]++; return true })
	most := 100 * (1 + int(time.Since(began)/(250*time.Millisecond))) // a hundred at a time, a quarter of a second each
	if count[401]+count[429] != 300 || count[401] > most {
		t.Errorf("answers %v, of which %d may be 401", count, most)
	}
}

func TestTheSamePortIsSaid(t *testing.T) {
	taken, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer taken.Close()
	_, err = door.Open(door.Options{Port: taken.Addr().(*net.TCPAddr).Port})
	if err == nil || !strings.Contains(err.Error(), "another program listens there; name another port, or none") {
		t.Errorf("%v", err)
	}
	if _, err := door.Open(door.Options{Port: 70000}); err == nil || !strings.Contains(err.Error(), "1 to 65535") {
		t.Errorf("%v", err)
	}
}

// TestOnlyLANIsReachedFromOutside asks under an address that is not 127.0.0.1.
func TestOnlyLANIsReachedFromOutside(t *testing.T) {
	outside := ""
	addresses, _ := net.InterfaceAddrs()
	for _, a := range addresses {
		if n, ok := a.(*net.IPNet); ok && n.IP.To4() != nil && !n.IP.IsLoopback() {
			outside = n.IP.String()
		}
	}
	if outside == "" {
		outside = "127.0.0.2" // a machine without a network: another loopback address stands for it
	}
	own := opened(t, door.Options{}, http.HandlerFunc(hello))
	if c, err := net.Dial("tcp", net.JoinHostPort(outside, fmt.Sprint(own.Port()))); err == nil {
		c.Close()
		t.Error("without LAN the door is reached from outside")
	}
	lan := opened(t, door.Options{LAN: true}, http.HandlerFunc(hello))
	if answer, _ := ask(t, http.DefaultClient, "GET", fmt.Sprintf("http://%s:%d/", outside, lan.Port()), ""); answer.StatusCode != 401 {
		t.Errorf("with LAN: %d", answer.StatusCode)
	}
	if answer, _ := ask(t, http.DefaultClient, "GET", lan.URL(), ""); answer.StatusCode != 401 {
		t.Errorf("with LAN this machine needs a pass too: %d", answer.StatusCode)
	}
	i := lan.Invitations()[0]
	if !strings.HasSuffix(i.URLs[0], "#in="+strings.ReplaceAll(i.Code, "-", "")) || !strings.Contains(i.SVG(), "<path") {
		t.Errorf("%+v", i)
	}
	if lines := strings.Count(i.Text(), "\n"); lines < 15 || lines > 24 {
		t.Errorf("the picture has %d lines, which do not stand on a terminal of 24", lines)
	}
}
