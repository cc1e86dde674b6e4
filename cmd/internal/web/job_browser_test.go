package web_test

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// TestAWholeJob goes the way of a technician with a phone: start, tap, type, see it move, unplug, next, take back, reload.
func TestAWholeJob(t *testing.T) {
	s := serve(t, jobs(t), 0, nil)
	b := s.tab("/", 360)
	b.text("#count", "2 jobs")
	b.shot("folder-360")
	b.sound("list of jobs")
	b.click("#new")
	b.choose("#circuit", "mast-height.circuit.toml")
	b.wait("document.querySelectorAll('#codelist input').length > 0")
	b.js(`document.querySelector("#machine").value = "stacker 9"; document.querySelector("#complaint").value = "height \"jumps\""; document.querySelector("#codelist input[value=HEIGHT-LOW]").click()`)
	b.shot("start-360")
	b.sound("start of a job")
	b.click("#form .primary")
	b.text("#title", "stacker 9")
	b.settled()
	b.shot("job-360")
	b.long("job-360-long")
	b.sound("new job")
	path := filepath.Join(s.folder, "stacker-9-height-jumps.job.toml")
	begun := contents(t, path)
	if !strings.Contains(begun, `complaint = "height \"jumps\""`) || !strings.Contains(begun, `codes = ["HEIGHT-LOW"]`) {
		t.Errorf("the new job is\n%s", begun)
	}

	// The one next reading: its state is set, its leads are set, its value is typed.
	first := b.js("document.querySelector('#card .steps').innerText")
	if !strings.Contains(first, "MCU:A2") {
		t.Errorf("the first reading asked for is %q", first)
	}
	b.button("#card", "Done as said: type the value")
	b.wait("document.querySelector('#sheet').open && document.querySelector('input[name=quantity]:checked').value === 'scan_volts'")
	b.pad("0")
	b.click("#write")
	b.wait("!document.querySelector('#sheet').open")
	b.text("#readings", "0.000 V")
	b.settled()
	b.text("#readings", "scan MCU:A2")

	// A tap on the drawing, a plug taken apart, and a value with a unit.
	b.click("#restate")
	b.js("document.querySelector('#plugs input[value=MHS]').click()")
	b.shot("machine-360")
	b.sound("state of the machine")
	b.click("#stating [data-close]")
	b.text("#chips", "MHS unplugged")
	b.tap("MHS:1")
	b.wait("document.querySelector('#sheet').open")
	b.text("#sheet-title", "MHS:1")
	b.text("#sheet-state", "MHS unplugged")
	b.shot("sheet-360")
	b.sound("sheet")
	b.pad("5", "0", "1", "0")
	b.js("[...document.querySelectorAll('#units input')].find(i => i.value === 'mV').click()")
	b.click("#write")
	b.wait("!document.querySelector('#sheet').open")
	b.text("#readings", "5.01 V")
	b.text("#readings", "MHS unplugged")
	b.settled()
	b.shot("after-360")
	b.long("after-360-long")
	b.sound("after two readings")
	const second = "\n[[reading]]\nat = \"MHS:1\"\nvolts = 5.01\nunplugged = [\"MHS\"]\n"
	if got := contents(t, path); got != begun+"\n[[reading]]\nat = \"MCU:A2\"\nscan_volts = 0.0\n"+second {
		t.Errorf("the file holds\n%s", got)
	}

	// Why, in a table.
	b.click("#groups .why")
	b.wait("document.querySelector('#why-body table')")
	b.shot("why-360")
	b.sound("why")
	b.click("#why [data-close]")

	// The state and the readings stand after a reload; take back, and put back.
	b.run(chromedp.Reload())
	b.text("#readings", "5.01 V")
	b.text("#chips", "MHS unplugged")
	b.settled()
	b.click("#undo")
	b.text("#toast", "Taken out: 5.01 V MHS:1")
	b.wait("!document.querySelector('#readings').innerText.includes('5.01')")
	if got := contents(t, path); strings.Contains(got, "MHS:1") {
		t.Errorf("taken back, the file holds\n%s", got)
	}
	b.settled()
	b.shot("toast-360")
	b.sound("taken back")
	b.click("#toast-do")
	b.text("#readings", "5.01 V")
	if got := contents(t, path); !strings.HasSuffix(got, second) {
		t.Errorf("put back, the file holds\n%s", got)
	}
}

// tap taps a test point on the drawing, scrolled into view, and answers the question which of two close ones was meant.
func (b *tab) tap(at string) {
	b.t.Helper()
	ring := fmt.Sprintf("document.querySelector('#drawing g.point[data-at=%q] .ring')", at)
	b.wait("!!" + ring)
	b.js(ring + ".scrollIntoView({block:'center', inline:'center', behavior:'instant'})")
	var x, y float64
	if _, err := fmt.Sscan(b.js("(r => r.x + r.width/2 + ' ' + (r.y + r.height/2))("+ring+".getBoundingClientRect())"), &x, &y); err != nil {
		b.t.Fatal(err)
	}
	b.run(chromedp.MouseClickXY(x, y))
	b.wait("document.querySelector('#sheet').open || document.querySelector('#choosing').open")
	if b.js("document.querySelector('#choosing').open") == "true" {
		b.js(fmt.Sprintf("[...document.querySelectorAll('#choices button')].find(e => e.querySelector('strong').textContent === %q).click()", at))
	}
}

// TestKeyboardAlone enters a reading without a pointer, and hears what it moved.
func TestKeyboardAlone(t *testing.T) {
	s := serve(t, jobs(t), 0, nil)
	b := s.tab("/job?file=mast-height-start.job.toml", 1280)
	b.settled()
	b.shot("job-1280")
	b.long("job-1280-long")
	b.sound("wide page")
	press := func(keys string) { b.run(chromedp.KeyEvent(keys)) }
	focus := func() string {
		return b.js("(e => e.id || e.textContent.trim().slice(0, 40))(document.activeElement)")
	}
	for n := 0; focus() != "Done as said: type the value"; n++ {
		if n > 80 {
			t.Fatalf("the tab key never comes to the next reading; it is at %s", focus())
		}
		press("\t")
	}
	press("\r")
	b.wait("document.querySelector('#sheet').open")
	if focus() != "typed" {
		t.Errorf("the sheet opens with %s in focus", focus())
	}
	press("4.97")
	b.shot("sheet-1280")
	b.sound("sheet on a wide page")
	press("\r")
	b.wait("!document.querySelector('#sheet').open")
	b.text("#readings", "4.97 V")
	b.text("#said", "Leading: ")
	if focus() == "" {
		t.Error("the focus is lost")
	}
	// A dialog lets go by Escape.
	b.click("#restate")
	b.run(chromedp.KeyEvent("\u001b"))
	b.wait("!document.querySelector('#stating').open")
}
