package web_test

import (
	"context"
	_ "embed"
	"errors"
	"flag"
	"fmt"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"

	"ohmtrail/cmd/internal/door"
	"ohmtrail/cmd/internal/web"
)

var shots = flag.String("shots", "", "write a picture of each state into this `folder`, to be looked at")

//go:embed testdata/axe/axe.min.js
var axe string

// one browser process serves all tests; each tab has a browser context of its own, as a second browser would.
var (
	startBrowser sync.Once
	browser      context.Context
	noBrowser    error
	stopBrowser  []func()
)

func TestMain(m *testing.M) {
	code := m.Run()
	for i := len(stopBrowser) - 1; i >= 0; i-- {
		stopBrowser[i]()
	}
	os.Exit(code)
}

// chromium finds the browser. Without one its tests are left out, except where CI is set: there they fail.
func chromium(t *testing.T) context.Context {
	t.Helper()
	startBrowser.Do(func() {
		path := ""
		for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
			if found, err := exec.LookPath(name); err == nil {
				path = found
				break
			}
		}
		if path == "" {
			noBrowser = errors.New("chromium is missing (Debian: apt install chromium)")
			return
		}
		profile, err := os.MkdirTemp("", "ohmtrail-browser")
		if err != nil {
			noBrowser = err
			return
		}
		options := []chromedp.ExecAllocatorOption{chromedp.ExecPath(path), chromedp.UserDataDir(profile), chromedp.WSURLReadTimeout(60 * time.Second)}
		for _, f := range []string{"headless", "disable-gpu", "disable-quic", "no-first-run", "disable-background-networking", "disable-component-update", "disable-sync",
			"no-default-browser-check", "disable-extensions", "disable-dev-shm-usage", "hide-scrollbars", "mute-audio", "disable-background-timer-throttling",
			"disable-backgrounding-occluded-windows", "disable-renderer-backgrounding"} {
			options = append(options, chromedp.Flag(f, true))
		}
		if os.Geteuid() == 0 {
			options = append(options, chromedp.NoSandbox)
		}
		allocator, stop := chromedp.NewExecAllocator(context.Background(), options...)
		stopBrowser = append(stopBrowser, func() { os.RemoveAll(profile) }, stop)
		browser, stop = chromedp.NewContext(allocator)
		stopBrowser = append(stopBrowser, stop)
		noBrowser = chromedp.Do(browser)
	})
	switch {
	case noBrowser == nil:
	case os.Getenv("CI") != "":
		t.Fatal(noBrowser)
	default:
		t.Logf("left out: %v", noBrowser)
		t.SkipNow()
	}
	return browser
}

// site is a folder that is served for a test.
type site struct {
	t      *testing.T
	folder string
	url    string
	door   *door.Door
	stop   func()
}

// serve serves a folder; port 0 stands for any.
func serve(t *testing.T, folder string, port int, change func(*web.Options, *door.Options)) *site {
	t.Helper()
	o := web.Options{Folder: folder, Now: time.Now, Journal: filepath.Join(t.TempDir(), "written.jsonl"), Log: testLog{t}}
	way := door.Options{Port: port, BodyBytes: web.BodyBytes, Log: testLog{t}}
	if port == 0 {
		way.Port = door.AnyPort
	}
	if change != nil {
		change(&o, &way)
	}
	p, err := web.New(o)
	if err != nil {
		t.Fatal(err)
	}
	d, err := door.Open(way)
	if err != nil {
		t.Fatal(err)
	}
	d.WhenClosing(p.Close)
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- d.Serve(ctx, p) }()
	s := &site{t: t, folder: folder, url: strings.TrimSuffix(d.URL(), "/"), door: d}
	s.stop = sync.OnceFunc(func() {
		cancel()
		if err := <-ended; err != nil {
			t.Errorf("the server ended with %v", err)
		}
	})
	t.Cleanup(s.stop)
	return s
}

type testLog struct{ t *testing.T }

func (l testLog) Write(p []byte) (int, error) {
	l.t.Logf("log: %s", p)
	return len(p), nil
}

// jobs is a folder with the demo's circuit and jobs.
func jobs(t *testing.T) string {
	t.Helper()
	folder := t.TempDir()
	for _, name := range []string{"mast-height.circuit.toml", "mast-height.job.toml", "mast-height-start.job.toml"} {
		body, err := os.ReadFile(filepath.Join("../../../testdata/demo", name))
		if err != nil {
			t.Fatal(err)
		}
		write(t, filepath.Join(folder, name), string(body))
	}
	return folder
}

func write(t *testing.T, path, text string) {
	t.Helper()
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

func contents(t *testing.T, path string) string {
	t.Helper()
	body, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(body)
}

// tab is one page in a browser context of its own.
type tab struct {
	t   *testing.T
	ctx context.Context
	mu  sync.Mutex
	bad []string // what went wrong in the page
}

// patience is how long a page may take on a machine that has other work.
const patience = 60 * time.Second

// tab opens a page as a browser of its own, of a width in CSS pixels.
func (s *site) tab(path string, width int) *tab {
	s.t.Helper()
	parent := chromium(s.t)
	ctx, cancel := chromedp.NewContext(parent, chromedp.WithNewBrowserContext())
	s.t.Cleanup(cancel)
	b := &tab{t: s.t, ctx: ctx}
	if err := chromedp.Do(ctx); err != nil {
		s.t.Fatal(err)
	}
	err := chromedp.Listen(ctx, func(event any) {
		b.mu.Lock()
		defer b.mu.Unlock()
		switch e := event.(type) {
		case *runtime.EventExceptionThrown:
			words := e.ExceptionDetails.Text
			if e.ExceptionDetails.Exception != nil {
				words = fmt.Sprint(words, " ", e.ExceptionDetails.Exception.Description)
			}
			b.bad = append(b.bad, words)
		case *log.EventEntryAdded:
			if e.Entry.Level == log.EntryLevelError && !strings.Contains(e.Entry.Text, "net::ERR_") && e.Entry.Source != log.EntrySourceNetwork {
				b.bad = append(b.bad, e.Entry.Text+" "+e.Entry.URL)
			}
		}
	})
	if err != nil {
		s.t.Fatal(err)
	}
	s.t.Cleanup(func() {
		b.mu.Lock()
		defer b.mu.Unlock()
		for _, words := range b.bad {
			s.t.Errorf("the page says: %s", words)
		}
	})
	size := []chromedp.EmulateViewportOption{}
	high := int64(900)
	if width < 600 {
		size, high = append(size, chromedp.EmulateMobile, chromedp.EmulatePortrait, chromedp.EmulateTouch), 720
	}
	b.run(chromedp.EmulateViewport(int64(width), high, size...), chromedp.Navigate(s.url+path))
	return b
}

func (b *tab) run(steps ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	if err := chromedp.Do(ctx, steps...); err != nil {
		b.t.Fatal(err)
	}
}

// wait waits until an expression of the page is true, also across a change of the page.
func (b *tab) wait(expression string) {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	poll := chromedp.Poll[chromedp.Void](expression, chromedp.WithPollingInterval(30*time.Millisecond), chromedp.WithPollingTimeout(patience))
	for {
		err := chromedp.Do(ctx, poll)
		if err == nil {
			return
		}
		if ctx.Err() != nil || errors.Is(err, chromedp.ErrPollingTimeout) {
			b.shot("stuck")
			b.t.Fatalf("never true: %s (%v); the page shows:\n%s", expression, err, b.js("document.body.innerText.replace(/\\s+/g, ' ').slice(0, 1500)"))
		}
	}
}

// js gives the value of an expression as text.
func (b *tab) js(expression string) string {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	out, err := chromedp.Run(ctx, chromedp.Evaluate[any](expression, chromedp.EvalAwaitPromise))
	if err != nil {
		b.t.Fatalf("%s: %v", expression, err)
	}
	return fmt.Sprint(out)
}

// text waits until an element holds words.
func (b *tab) text(selector, words string) {
	b.t.Helper()
	b.wait(fmt.Sprintf("(document.querySelector(%q)||{innerText:''}).innerText.includes(%q)", selector, words))
}

// click clicks what can be seen and is not disabled, as a mouse does.
func (b *tab) click(selector string) {
	b.t.Helper()
	b.wait(fmt.Sprintf("(e => e && !e.disabled && e.checkVisibility())(document.querySelector(%q))", selector))
	b.js(fmt.Sprintf("document.querySelector(%q).scrollIntoView({block:'center',behavior:'instant'})", selector))
	b.run(chromedp.Click(selector))
}

// button clicks a button by its words, within a selector.
func (b *tab) button(within, words string) {
	b.t.Helper()
	find := fmt.Sprintf("[...document.querySelectorAll(%q)].find(e => e.checkVisibility() && !e.disabled && e.textContent.trim() === %q)", within+" button", words)
	b.wait("!!" + find)
	b.js("(e => { document.querySelectorAll('[data-test]').forEach(x => delete x.dataset.test); e.dataset.test = '1'; e.scrollIntoView({block:'center',behavior:'instant'}); })(" + find + ")")
	b.run(chromedp.Click("[data-test]"))
}

// pad types on the number pad.
func (b *tab) pad(keys ...string) {
	b.t.Helper()
	for _, k := range keys {
		b.click(fmt.Sprintf("#pad [data-key=%q]", k))
	}
}

// choose picks an option of a select as a hand does.
func (b *tab) choose(selector, value string) {
	b.t.Helper()
	b.js(fmt.Sprintf("(s => { s.value = %q; s.dispatchEvent(new Event('input', {bubbles:true})); s.dispatchEvent(new Event('change', {bubbles:true})); })(document.querySelector(%q))", value, selector))
}

// settled waits until the ranking, the plan and the drawing stand.
func (b *tab) settled() {
	b.t.Helper()
	b.wait("document.querySelector('#groups li') && !document.querySelector('#card').hasAttribute('aria-busy') && document.querySelector('#drawing svg')")
}

// shot keeps a picture of what is seen, where -shots asks for it.
func (b *tab) shot(name string) {
	b.t.Helper()
	if *shots == "" {
		return
	}
	picture, err := chromedp.Run(b.ctx, chromedp.CaptureScreenshot())
	if err != nil {
		b.t.Fatal(err)
	}
	write(b.t, filepath.Join(*shots, name+".png"), string(picture))
}

// long keeps a picture of the whole page.
func (b *tab) long(name string) {
	b.t.Helper()
	if *shots == "" {
		return
	}
	picture, err := chromedp.Run(b.ctx, chromedp.FullScreenshot(100))
	if err != nil {
		b.t.Fatal(err)
	}
	write(b.t, filepath.Join(*shots, name+".png"), string(picture))
}

// sound holds a state against the accessibility rules and, on a phone, against scrolling sideways.
func (b *tab) sound(state string) {
	b.t.Helper()
	if b.js("typeof axe") == "undefined" {
		b.run(chromedp.Evaluate[chromedp.Void](axe))
	}
	found := b.js(`axe.run(document, {resultTypes: ["violations"]}).then(r => r.violations.map(v => v.id + ": " + v.help + "\n" + v.nodes.map(n => "    " + n.target + "  " + (n.any.concat(n.all, n.none).map(c => c.message).join("; "))).join("\n")).join("\n"))`)
	if found != "" {
		b.t.Errorf("%s: %s", state, found)
	}
	if wide := b.js("document.documentElement.scrollWidth > innerWidth && document.documentElement.scrollWidth + ' of ' + innerWidth"); wide != "false" {
		b.t.Errorf("%s scrolls sideways: %s", state, wide)
	}
}

// get asks the server without a browser.
func get(t *testing.T, url string) (int, string) {
	t.Helper()
	answer, err := http.Get(url)
	if err != nil {
		t.Fatal(err)
	}
	return answer.StatusCode, bodyOf(t, answer)
}
