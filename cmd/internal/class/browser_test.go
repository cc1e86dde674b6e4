package class_test

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"

	"ohmtrail/cmd/internal/class"
)

var shots = flag.String("shots", "", "write a picture of each state into this `folder`, to be looked at")

// one browser process serves all tests; each person has a browser context of their own.
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
			"no-default-browser-check", "disable-extensions", "disable-dev-shm-usage", "hide-scrollbars", "disable-background-timer-throttling", "disable-renderer-backgrounding",
			"disable-backgrounding-occluded-windows"} {
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

// tab is a page of one person.
type tab struct {
	t   *testing.T
	ctx context.Context
}

const patience = 40 * time.Second

// open opens a page as one who scanned a code.
func (s *site) open(t *testing.T, width int, pass string) *tab {
	t.Helper()
	ctx, cancel := chromedp.NewContext(chromium(t), chromedp.WithNewBrowserContext())
	t.Cleanup(cancel)
	b := &tab{t: t, ctx: ctx}
	if err := chromedp.Do(ctx); err != nil {
		t.Fatal(err)
	}
	var mu sync.Mutex
	var bad []string
	err := chromedp.Listen(ctx, func(event any) {
		mu.Lock()
		defer mu.Unlock()
		switch e := event.(type) {
		case *runtime.EventExceptionThrown:
			words := e.ExceptionDetails.Text
			if e.ExceptionDetails.Exception != nil {
				words += " " + e.ExceptionDetails.Exception.Description
			}
			bad = append(bad, words)
		case *log.EventEntryAdded:
			// An answer that is no success is logged as an error; those are told to the person.
			if e.Entry.Level == log.EntryLevelError && e.Entry.Source != log.EntrySourceNetwork {
				bad = append(bad, e.Entry.Text)
			}
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		mu.Lock()
		defer mu.Unlock()
		for _, words := range bad {
			t.Errorf("the page says: %s", words)
		}
	})
	size, high := []chromedp.EmulateViewportOption{}, int64(900)
	if width < 600 {
		size, high = append(size, chromedp.EmulateMobile, chromedp.EmulatePortrait, chromedp.EmulateTouch), 720
	}
	b.run(chromedp.EmulateViewport(int64(width), high, size...), chromedp.Navigate(s.url+"/#in="+s.code(pass)))
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
			b.long("stuck")
			b.t.Fatalf("never true: %s (%v); the page shows:\n%s", expression, err, b.js("document.body.innerText.slice(0, 3000)"))
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

// click clicks what can be seen and is not disabled.
func (b *tab) click(selector string) {
	b.t.Helper()
	b.wait(fmt.Sprintf("(e => e && !e.disabled && e.checkVisibility())(document.querySelector(%q))", selector))
	b.js(fmt.Sprintf("document.querySelector(%q).scrollIntoView({block:'center',behavior:'instant'})", selector))
	b.run(chromedp.Click(selector))
}

// choose picks an option of a list, or types into a field, as a hand does.
func (b *tab) choose(selector, value string) {
	b.t.Helper()
	b.js(fmt.Sprintf("(s => { s.value = %q; s.dispatchEvent(new Event('input', {bubbles:true})); s.dispatchEvent(new Event('change', {bubbles:true})); })(document.querySelector(%q))", value, selector))
	if got := b.js(fmt.Sprintf("document.querySelector(%q).value", selector)); got != value {
		b.t.Fatalf("%s has no %q", selector, value)
	}
}

// long keeps a picture of the whole page, where -shots asks for it.
func (b *tab) long(name string) {
	b.t.Helper()
	if *shots == "" {
		return
	}
	picture, err := chromedp.Run(b.ctx, chromedp.FullScreenshot(100))
	if err != nil {
		b.t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(*shots, name+".png"), picture, 0o666); err != nil {
		b.t.Fatal(err)
	}
}

// sound holds a state against the accessibility rules (axe-core, WCAG 2 A and AA and its own practice) and against
// scrolling sideways.
func (b *tab) sound(state string) {
	b.t.Helper()
	b.long(state)
	axe, err := os.ReadFile("../web/testdata/axe/axe.min.js")
	if err != nil {
		b.t.Fatal(err)
	}
	if b.js("typeof axe") == "undefined" {
		b.run(chromedp.Evaluate[chromedp.Void](string(axe)))
	}
	found := b.js(`axe.run(document, {resultTypes: ["violations"]}).then(r => r.violations.map(v => v.id + ": " + v.help + "\n" + v.nodes.map(n => "    " + n.target + "  " + (n.any.concat(n.all, n.none).map(c => c.message).join("; "))).join("\n")).join("\n"))`)
	if found != "" {
		b.t.Errorf("%s:\n%s", state, found)
	}
	if wide := b.js("document.documentElement.scrollWidth > innerWidth && document.documentElement.scrollWidth + ' of ' + innerWidth"); wide != "false" {
		b.t.Errorf("%s scrolls sideways: %s", state, wide)
	}
}

// TestClassInBrowsers is a round as a student on a phone and a trainer at a board see it.
func TestClassInBrowsers(t *testing.T) {
	chromium(t)
	s := serve(t, folder(t), 0, nil)
	kim := s.open(t, 360, class.StudentPass)
	kim.text("#joining h2", "Join the class")
	kim.sound("phone-join")
	kim.choose("#name", "Kim Ölander")
	kim.click("#joining button")
	kim.text("#standby", "You are in")
	kim.sound("phone-wait")

	board := s.open(t, 1280, class.TrainerPass)
	board.text("#tally", "1 in the class")
	board.wait("document.querySelector('#qr').naturalWidth > 0 || document.querySelector('#qr').complete")
	board.sound("board-wait")
	board.click("#start")
	board.text("#phase", "running")

	kim.text("#complaint", "“")
	kim.wait("document.querySelectorAll('#red option').length > 5 && document.querySelector('#drawing svg')")
	kim.sound("phone-begin")
	// A tap on the drawing places the red lead.
	kim.click(`#drawing g.point[data-at="ECT:1"]`)
	kim.wait("document.querySelector('#red').value === 'ECT:1'")
	kim.text("#cost", "takes 3 min")
	kim.click("#take")
	kim.text("#failed", "Say first why")
	kim.wait("(r => r.height > 0 && r.top >= 0 && r.bottom <= innerHeight)(document.querySelector('#failed').getBoundingClientRect())") // where the eye is
	kim.sound("phone-lacks")
	kim.choose("#why", "is there a voltage at the sensor?")
	kim.click("#take")
	kim.text("#steps", "is there a voltage at the sensor?")
	kim.text("#minutes", "3 min")
	// A state that is kept, a reading that a workshop refuses, and one with the plug apart.
	kim.click("#state summary")
	kim.click(`[name=plug][value="ECT"]`)
	kim.choose("#why", "what does the module give without the sensor?")
	kim.text("#cost", "ECT unplugged")
	kim.click("#take")
	kim.text("#steps", "ECT unplugged")
	kim.choose("#question", "1")
	kim.click("#ask button")
	kim.text("#steps", "asked:")
	kim.choose("#lookat", "ECT")
	kim.click("#look button")
	kim.text("#steps", "looked at ECT")
	kim.sound("phone-play")
	board.text("#students", "Kim")
	board.text("#students", "looked at ECT")
	board.click("#reveal")
	board.wait("/\\d+ %/.test(document.querySelector('#students').innerText)")
	board.sound("board-play")

	kim.run(chromedp.EmulateViewport(1280, 900))
	kim.sound("desk-play")
	kim.run(chromedp.EmulateViewport(360, 720, chromedp.EmulateMobile, chromedp.EmulatePortrait, chromedp.EmulateTouch))
	dark := emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: "dark"}}}
	if _, err := chromedp.Call(kim.ctx, emulation.SetEmulatedMedia, dark); err != nil {
		t.Fatal(err)
	}
	kim.sound("dark-play")
	kim.choose("#kind", "open")
	kim.wait("document.querySelectorAll('#fault option').length > 3")
	kim.choose("#fault", "open ECT:1")
	kim.choose("#remedy", "new terminal")
	kim.choose("#findwhy", "no voltage there")
	kim.click("#sure")
	kim.click("#find button")
	kim.text("#marks", "when your trainer closes the round")
	board.text("#students", "finding given")
	board.click("#close")
	board.text("#phase", "closed")
	kim.text("#marks", "points")
	kim.sound("phone-marks")
	board.click("#compare")
	board.text("#paths", "The planner")
	board.sound("board-paths")
	phone := s.open(t, 360, class.TrainerPass)
	phone.text("#tally", "1 in the class")
	phone.sound("board-phone")
}

// TestTwoTabsAndAWayBack: a second tab shows what the first did; what it sends from an old view is not done; a page that
// was loaded again, and one whose server went away and came back, goes on.
func TestTwoTabsAndAWayBack(t *testing.T) {
	chromium(t)
	dir := folder(t)
	s := serve(t, dir, 0, nil)
	trainer := s.person(class.TrainerPass)
	one := s.open(t, 360, class.StudentPass)
	one.text("#joining h2", "Join")
	one.choose("#name", "Kim")
	one.click("#joining button")
	one.text("#standby", "You are in")
	trainer.round("start")
	one.wait("document.querySelectorAll('#red option').length > 5")
	ctx, cancel := chromedp.NewContext(one.ctx)
	defer cancel()
	two := &tab{t: t, ctx: ctx}
	if err := chromedp.Do(ctx); err != nil {
		t.Fatal(err)
	}
	two.run(chromedp.EmulateViewport(800, 800), chromedp.Navigate(s.url+"/"))
	two.wait("document.querySelectorAll('#red option').length > 5")
	two.choose("#red", "ECT:1")
	two.choose("#why", "from the second tab")
	two.click("#take")
	two.text("#steps", "from the second tab")
	one.text("#steps", "from the second tab")

	port, secrets := s.door.Port(), s.door.Secrets()
	s.stop()
	one.wait("!document.querySelector('#away').hidden")
	one.choose("#red", "ECT:2")
	one.choose("#why", "sent while nobody answers")
	one.click("#take")
	serve(t, dir, port, secrets)
	one.text("#steps", "sent while nobody answers")
	one.wait("document.querySelector('#away').hidden")
	one.run(chromedp.Reload())
	one.text("#steps", "sent while nobody answers")
	one.text("#who", "Kim")
	if n := one.js("document.querySelectorAll('#steps > li').length"); n != "2" {
		t.Errorf("%s steps, not 2", n)
	}
}
