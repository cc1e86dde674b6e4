package web_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"ohmtrail/cmd/internal/door"
	"ohmtrail/cmd/internal/web"
)

const startJob = "/job?file=mast-height-start.job.toml"

// enter enters a reading of volts to B- through the sheet, by the keyboard's keys.
func (b *tab) enter(at, value string) {
	b.t.Helper()
	b.wait("document.querySelectorAll('#points button').length > 0")
	b.js("document.querySelector('#pointlist').open = true")
	b.js(fmt.Sprintf("[...document.querySelectorAll('#points button')].find(e => e.querySelector('strong').textContent === %q).click()", at))
	b.wait("document.querySelector('#sheet').open")
	b.js(fmt.Sprintf("(e => { e.value = %q; e.dispatchEvent(new Event('input', {bubbles: true})); document.querySelector('#write').click(); })(document.querySelector('#typed'))", value))
	b.wait("!document.querySelector('#sheet').open")
}

// TestTwoBrowsersOnOneJob lets two people type at the same moment; each sees the other's reading, and none is lost.
func TestTwoBrowsersOnOneJob(t *testing.T) {
	s := serve(t, jobs(t), 0, nil)
	a, b := s.tab(startJob, 360), s.tab(startJob, 1280)
	a.settled()
	b.settled()
	began := time.Now()
	a.enter("MHS:2", "4.91")
	b.text("#readings", "4.91 V")
	t.Logf("seen by the other %v after it was typed", time.Since(began).Round(time.Millisecond))
	// The machine is one: who parts a plug parts it for both.
	b.click("#restate")
	b.js("document.querySelector('#plugs input[value=TLT]').click()")
	a.text("#chips", "TLT unplugged")
	b.click("#stating [data-close]")
	var both sync.WaitGroup
	for i, one := range []*tab{a, b} {
		both.Go(func() {
			for n := range 3 {
				one.enter("MHS:1", fmt.Sprintf("4.%d%d", 7+i, n))
			}
		})
	}
	both.Wait()
	for _, one := range []*tab{a, b} {
		one.wait("document.querySelectorAll('#readings li').length === 9")
	}
	file := contents(t, filepath.Join(s.folder, "mast-height-start.job.toml"))
	for _, value := range []string{"4.91", "4.7", "4.71", "4.72", "4.8", "4.81", "4.82"} {
		if strings.Count(file, "volts = "+value+"\n") != 1 {
			t.Errorf("%s stands %d times in\n%s", value, strings.Count(file, "volts = "+value+"\n"), file)
		}
	}
}

// TestOfflineAndBack types while the program is gone, reloads nothing, and finds everything sent once and in order when
// it is back on the same port.
func TestOfflineAndBack(t *testing.T) {
	folder := jobs(t)
	journal := filepath.Join(t.TempDir(), "written.jsonl")
	keep := func(o *web.Options, _ *door.Options) { o.Journal = journal }
	s := serve(t, folder, 0, keep)
	b := s.tab(startJob, 360)
	b.settled()
	port := s.door.Port()
	s.stop()
	b.enter("MHS:1", "4.01")
	b.enter("MHS:2", "4.02")
	b.text("#link", "2 readings kept here, not sent yet")
	b.text("#queued", "Kept on this device, not sent yet.")
	b.shot("offline-360")
	b.sound("offline")
	b.enter("MHS:3", "4.03")
	b.click("#undo") // what was not sent is taken back without a server
	b.text("#link", "2 readings kept")
	path := filepath.Join(folder, "mast-height-start.job.toml")
	before := contents(t, path)
	serve(t, folder, port, keep)
	b.text("#link", "All in the file")
	b.text("#readings", "4.02 V")
	want := before + "\n[[reading]]\nat = \"MHS:1\"\nvolts = 4.01\n\n[[reading]]\nat = \"MHS:2\"\nvolts = 4.02\n"
	if got := contents(t, path); got != want {
		t.Errorf("the file holds\n%s", got)
	}
	b.settled()
}

// TestQueueOutlivesTheTab closes the page with readings that were not sent; another page of that browser sends them.
func TestQueueOutlivesTheTab(t *testing.T) {
	folder := jobs(t)
	s := serve(t, folder, 0, nil)
	b := s.tab(startJob, 360)
	b.settled()
	port := s.door.Port()
	s.stop()
	b.enter("MHS:1", "4.01")
	b.text("#link", "1 reading kept here")
	again := serve(t, folder, port, nil)
	b.js(fmt.Sprintf("location.href = %q", again.url+"/"))
	b.wait("location.pathname === '/' && document.querySelectorAll('#jobs li').length === 2")
	path := filepath.Join(folder, "mast-height-start.job.toml")
	b.wait("JSON.parse(localStorage.getItem('ohmtrail-queue')).length === 0")
	if got := contents(t, path); strings.Count(got, "volts = 4.01") != 1 {
		t.Errorf("the file holds\n%s", got)
	}
}

// TestEditsByHand changes the file under an open page: taken up, broken, put right, in conflict.
func TestEditsByHand(t *testing.T) {
	s := serve(t, jobs(t), 0, nil)
	b := s.tab(startJob, 360)
	b.settled()
	path := filepath.Join(s.folder, "mast-height-start.job.toml")
	original := contents(t, path)

	began := time.Now()
	write(t, path, original+"\n[[reading]]\nat = \"MHS:3\"\nvolts = 0.012\n# by hand\n")
	b.text("#readings", "0.012 V")
	t.Logf("taken up %v after it was written", time.Since(began).Round(time.Millisecond))
	b.settled()

	broken := strings.Replace(contents(t, path), "volts = 0.012", "volts = = 0.012", 1)
	write(t, path, broken)
	b.text("#broken", "mast-height-start.job.toml:24")
	b.text("#broken", "volts = = 0.012")
	b.text("#readings", "0.012 V") // what was known stays in sight
	b.shot("broken-360")
	b.sound("a broken file")
	b.enter("MHS:2", "4.44")
	b.text("#link", "1 reading kept here, not sent yet")
	if got := contents(t, path); got != broken {
		t.Errorf("the broken file was written to:\n%s", got)
	}
	repaired := strings.Replace(broken, "= =", "=", 1)
	write(t, path, repaired)
	b.wait("document.querySelector('#broken').hidden")
	b.text("#link", "All in the file")
	b.text("#readings", "4.44 V")
	if got, want := contents(t, path), repaired+"\n[[reading]]\nat = \"MHS:2\"\nvolts = 4.44\n"; got != want {
		t.Errorf("after the repair the file holds\n%s", got)
	}
	b.settled()

	// A change that another hand has overtaken is shown, not written.
	b.button("#readings li:nth-child(3)", "Change")
	b.wait("document.querySelector('#changing').open")
	b.js("document.querySelector('#change-typed').value = '0.5'")
	b.sound("change of a reading")
	b.shot("change-360")
	overtaken := strings.Replace(contents(t, path), "volts = 0.012", "volts = 0.7", 1)
	write(t, path, overtaken)
	b.click("#change-do")
	b.wait("document.querySelector('#conflict').open")
	b.text("#conflict-lines", "+volts = 0.7")
	b.shot("conflict-360")
	b.sound("conflict")
	if got := contents(t, path); got != overtaken {
		t.Errorf("the file was overwritten:\n%s", got)
	}
	b.click("#conflict [data-close]")
	b.text("#readings", "0.700 V")
	b.settled() // the list is written anew when the ranking comes
	b.button("#readings li:nth-child(3)", "Change")
	b.js("document.querySelector('#change-typed').value = '500 mV'; document.querySelector('#change-note').value = 'again'")
	b.click("#change-do")
	b.text("#readings", "0.500 V")
	want := strings.Replace(overtaken, "volts = 0.7", "volts = 0.5", 1)
	want = strings.Replace(want, "at = \"MHS:3\"\n", "at = \"MHS:3\"\nnote = \"again\"\n", 1)
	if got := contents(t, path); got != want {
		t.Errorf("changed, the file holds\n%s", got)
	}

	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	b.text("#broken", "mast-height-start.job.toml: there is no such file.")
	b.sound("the file is gone")
}

// TestDoubtsAndRefusals types what the circuit cannot show, and what is no value.
func TestDoubtsAndRefusals(t *testing.T) {
	s := serve(t, jobs(t), 0, nil)
	b := s.tab(startJob, 360)
	b.settled()
	path := filepath.Join(s.folder, "mast-height-start.job.toml")
	before := contents(t, path)
	b.js("[...document.querySelectorAll('#points button')].find(e => e.querySelector('strong').textContent === 'MHS:1').click()")
	b.js("(e => { e.value = '4.9.8'; e.dispatchEvent(new Event('input', {bubbles: true})); document.querySelector('#write').click(); })(document.querySelector('#typed'))")
	b.text("#sheet-wrong", "no value in volts")
	b.shot("wrong-360")
	b.sound("no value")
	b.js("(e => { e.value = '498'; e.dispatchEvent(new Event('input', {bubbles: true})); document.querySelector('#write').click(); })(document.querySelector('#typed'))")
	b.text("#sheet-wrong", "498")
	b.text("#write", "It is so: write it")
	b.shot("doubt-360")
	b.sound("doubt")
	if got := contents(t, path); got != before {
		t.Errorf("what was doubted was written:\n%s", got)
	}
	b.js("(e => { e.value = '4.98'; e.dispatchEvent(new Event('input', {bubbles: true})); })(document.querySelector('#typed'))")
	b.text("#write", "Write it down")
	b.click("#write")
	b.text("#readings", "4.98 V")
	if got := contents(t, path); got != before+"\n[[reading]]\nat = \"MHS:1\"\nvolts = 4.98\n" {
		t.Errorf("the file holds\n%s", got)
	}
	b.wait("JSON.parse(localStorage.getItem('ohmtrail-queue')).length === 0")

	// Seen and felt.
	b.click("#look")
	b.choose("#look-at", "C7:1")
	b.choose("#look-seen", "corroded")
	b.sound("what is seen")
	b.click("#look-form .primary")
	b.text("#inspections", "C7:1 corroded")
	if got := contents(t, path); !strings.HasSuffix(got, "\n[[inspection]]\nat = \"C7:1\"\nseen = \"corroded\"\n") {
		t.Errorf("the file holds\n%s", got)
	}
	b.button("#inspections", "Take out")
	b.wait("document.querySelectorAll('#inspections li').length === 0")
}

// TestANewCodeAndAQueue starts the program anew, with another code, under a phone that has typed meanwhile: it must come in
// again, and what it typed is sent then. A job whose file is gone keeps its reading and holds up no other job's.
func TestANewCodeAndAQueue(t *testing.T) {
	folder := jobs(t)
	locked := func(_ *web.Options, way *door.Options) { way.Locked = true }
	s := serve(t, folder, 0, locked)
	enterCode := func(b *tab, s *site) {
		b.wait("document.querySelector('#form[data-ready] #code') !== null")
		b.js(fmt.Sprintf("document.querySelector('#code').value = %q; document.querySelector('button').click()", s.door.Invitations()[0].Code))
	}
	b := s.tab(startJob, 360)
	enterCode(b, s)
	b.settled()
	port := s.door.Port()
	s.stop()
	b.enter("MHS:1", "4.01")
	b.text("#link", "1 reading kept here")
	b.js(`(list => { list.unshift({ ...list[0], id: "of-a-job-that-is-gone", file: "gone.job.toml", body: { ...list[0].body, id: "of-a-job-that-is-gone" } });
		localStorage.setItem("ohmtrail-queue", JSON.stringify(list)); })(JSON.parse(localStorage.getItem("ohmtrail-queue")))`)
	again := serve(t, folder, port, locked)
	enterCode(b, again) // the page has found out by itself that it is out
	b.text("#title", "stacker 4")
	b.text("#readings", "4.01 V")
	if got := contents(t, filepath.Join(folder, "mast-height-start.job.toml")); strings.Count(got, "volts = 4.01\n") != 1 {
		t.Errorf("the file holds\n%s", got)
	}
	b.wait("JSON.parse(localStorage.getItem('ohmtrail-queue')).map(e => e.file).join() === 'gone.job.toml'")
	b.text("#link", "1 reading kept here, not sent yet")
}
