package web_test

import (
	"errors"
	"fmt"
	"net/url"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/door"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/cmd/internal/web"
	"ohmtrail/solver/rank"
)

// TestAPhoneComesIn opens the page with the code in the address's fragment, and without it.
func TestAPhoneComesIn(t *testing.T) {
	var d *door.Door
	s := serve(t, jobs(t), 0, func(o *web.Options, way *door.Options) {
		way.Locked = true
		o.Invitations = func() []door.Invitation { return d.Invitations() }
	})
	d = s.door
	b := s.tab("/", 360)
	b.text("#said", "Scan the QR picture")
	b.wait("document.querySelector('#form[data-ready]') !== null")
	b.shot("entry-360")
	b.sound("entry without a code")
	b.js("document.querySelector('#code').value = '00000 00000'; document.querySelector('button').click()")
	b.text("#said", "This is not the code")
	code := d.Invitations()[0].Code
	b.js(fmt.Sprintf("document.querySelector('#code').value = %q; document.querySelector('button').click()", strings.ToLower(code)))
	b.text("#count", "2 jobs")
	if got := b.js("document.cookie"); got != "" {
		t.Errorf("a script can read the cookie %q", got)
	}
	b.click("#invite")
	b.text("#ways", code)
	b.wait("document.querySelector('#qr').complete && document.querySelector('#qr').naturalWidth > 0")
	b.shot("invite-360")
	b.sound("invitation")

	phone := s.tab("/job?file=mast-height.job.toml#in="+strings.ReplaceAll(code, "-", ""), 360)
	phone.text("#title", "stacker 4")
	if got := phone.js("location.href"); strings.Contains(got, "#") {
		t.Errorf("the code stands in the address bar: %s", got)
	}
	phone.settled()
	phone.text("#next-title", "Done")
	phone.shot("done-360")
	phone.long("done-360-long")
	phone.sound("a finished job")
}

// TestIntermittentAndEveryKind enters a reading that moved while a place was moved, ohms with OL, amps, a jumper and a
// load, and a setting; the file holds each in the words of the contract.
func TestIntermittentAndEveryKind(t *testing.T) {
	folder := jobs(t)
	path := filepath.Join(folder, "bumps.job.toml")
	write(t, path, "format = 1\ncircuit = \"mast-height.circuit.toml\"\nintermittent = true # over bumps\n\n[[reading]] # planned\nat = \"MHS:1\"\nquantity = \"ohms\"\nkey = \"off\"\nunplugged = [\"MHS\"]\n")
	s := serve(t, folder, 0, nil)
	b := s.tab("/job?file=bumps.job.toml", 360)
	b.settled()
	begin := func(at string) {
		b.wait("document.querySelectorAll('#points button').length > 0")
		b.js(fmt.Sprintf("[...document.querySelectorAll('#points button')].find(e => e.querySelector('strong').textContent === %q).click()", at))
		b.wait("document.querySelector('#sheet').open")
	}
	pick := func(name, value string) {
		b.js(fmt.Sprintf("document.querySelector('input[name=%s][value=%q]').click()", name, value))
	}
	done := func() {
		b.click("#write")
		b.wait("!document.querySelector('#sheet').open")
	}

	begin("MCU:A2")
	pick("quantity", "scan_volts")
	b.pad("1", ".", "9", "2", "space", "4", ".", "9", "8")
	b.choose("#wiggle", "C7")
	pick("symptom", "there")
	b.js("document.querySelector('#note').value = 'over the \"ramp\"'")
	b.shot("moved-360")
	b.sound("a reading that moved")
	done()
	b.text("#readings", "1.92 V to 4.98 V")

	// The planned reading gets its value where it stands.
	b.button("#readings", "Take it")
	b.wait("document.querySelector('#sheet').open && document.querySelector('input[name=quantity]:checked').value === 'ohms'")
	b.text("#sheet-state", "Key off, MHS unplugged")
	b.pad("OL")
	b.sound("ohms")
	done()
	b.text("#readings", "OL")

	// Jumper, load, setting; then amps in place of a contact.
	b.click("#restate")
	b.click("#plain")
	b.js("document.querySelector('#plugs input[value=MHS]').click()")
	b.choose("#jumper-from", "MHS:1")
	b.choose("#jumper-to", "MHS:2")
	b.click("#jumper-add")
	b.choose("#load-from", "B+")
	b.choose("#load-to", "MHS:3")
	b.js("document.querySelector('#load-ohms').value = '220'")
	b.click("#load-add")
	b.js("(e => { e.value = '0,25'; e.dispatchEvent(new Event('change')); })(document.querySelector('[data-device=TLT]'))")
	b.shot("machine-all-360")
	b.sound("state of the machine, with all kinds")
	b.click("#stating [data-close]")
	b.text("#chips", "220 Ω from B+ to MHS:3")
	b.text("#chips", "TLT at 0.25")
	b.shot("chips-360")
	b.sound("chips")
	begin("MCU:A3")
	pick("quantity", "amps")
	pick("unit", "mA")
	b.pad("1", "2", "0")
	b.shot("amps-360")
	done()
	b.text("#readings", "amps through MCU:A3")

	want := `format = 1
circuit = "mast-height.circuit.toml"
intermittent = true # over bumps

[[reading]] # planned
at = "MHS:1"
ohms = "OL"
quantity = "ohms"
key = "off"
unplugged = ["MHS"]

[[reading]]
at = "MCU:A2"
scan_volts = [1.92, 4.98]
wiggle = "C7"
symptom = "there"
note = "over the \"ramp\""

[[reading]]
at = "MCU:A3"
amps = 0.12
unplugged = ["MHS"]
jumper = [["MHS:1", "MHS:2"]]
load = [{ from = "B+", to = "MHS:3", ohms = 220 }]
set = { TLT = 0.25 }
`
	if got := contents(t, path); got != want {
		t.Errorf("the file holds\n%s", got)
	}
	b.settled()
	b.click("#chips .chip:nth-child(2) button")
	b.wait("!document.querySelector('#chips').innerText.includes('MHS unplugged')")
}

// TestDarkPaperAndStop looks at the page in the dark, on paper, and at the stop screen.
func TestDarkPaperAndStop(t *testing.T) {
	folder := jobs(t)
	write(t, filepath.Join(folder, "bag.job.toml"), "format = 1\ncircuit = \"library:squib\"\n")
	s := serve(t, folder, 0, nil)
	b := s.tab("/job?file=mast-height.job.toml", 360)
	b.settled()
	dark := func(media string) {
		_, err := chromedp.Call(b.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: media}}})
		if err != nil {
			t.Fatal(err)
		}
	}
	dark("dark")
	b.shot("dark-360")
	b.sound("dark")
	b.click("#take-any")
	b.wait("document.querySelector('#pointlist').open")
	b.shot("points-360")
	b.sound("dark list of points")
	dark("light")
	paper, err := chromedp.Call(b.ctx, page.PrintToPDF, page.PrintToPDFParams{})
	if err != nil {
		t.Fatal(err)
	}
	if len(paper.Data) < 10000 {
		t.Errorf("on paper it is %d bytes", len(paper.Data))
	}
	if *shots != "" {
		write(t, filepath.Join(*shots, "paper.pdf"), string(paper.Data))
	}
	stop := s.tab("/job?file=bag.job.toml", 360)
	stop.text("#broken", "Stop: this is a pyrotechnic circuit.")
	stop.wait("!document.querySelector('#verdict').checkVisibility() && !document.querySelector('#picture').checkVisibility() && !document.querySelector('.thumb').checkVisibility()")
	stop.shot("stop-360")
	stop.sound("stop screen")
	wide := s.tab("/", 1280)
	wide.text("#count", "3 jobs")
	wide.js("(e => { e.value = 'height stays'; e.dispatchEvent(new Event('input')); })(document.querySelector('#search'))")
	wide.text("#count", "2 of 3 jobs")
	wide.shot("folder-1280")
	wide.sound("list on a wide screen")
}

// TestHowFastAReadingIs measures, in the browser, from the key to the ranking, on 42 wires. It asserts only that all
// comes; the figures are for who reads them.
func TestHowFastAReadingIs(t *testing.T) {
	folder := t.TempDir()
	write(t, filepath.Join(folder, "a.job.toml"), "format = 1\ncircuit = \"library:shared-reference\"\n")
	s := serve(t, folder, 0, nil)
	b := s.tab("/job?file=a.job.toml", 360)
	b.settled()
	at := b.js("document.querySelector('#points strong').textContent")
	for n := range 6 {
		b.js(fmt.Sprintf("[...document.querySelectorAll('#points button')].find(e => e.querySelector('strong').textContent === %q).click()", at))
		b.wait("document.querySelector('#sheet').open")
		took := b.js(fmt.Sprintf(`new Promise((done) => {
			const typed = document.querySelector("#typed");
			typed.value = "4.9%d";
			typed.dispatchEvent(new Event("input", { bubbles: true }));
			const start = performance.now();
			const seen = {};
			const note = (name) => { if (!(name in seen)) requestAnimationFrame(() => setTimeout(() => {
				seen[name] = Math.round(performance.now() - start);
				if (Object.keys(seen).length < 3) return;
				const asked = performance.getEntriesByType("resource").filter((e) => e.name.includes("/api/readings")).pop();
				done(JSON.stringify({ ...seen, sent: Math.round(asked.startTime - start), answered: Math.round(asked.responseEnd - start) }));
			})); };
			new MutationObserver(() => note("ranking")).observe(document.querySelector("#groups"), { childList: true });
			new MutationObserver(() => { if (document.querySelector("#card .steps, #card .done")) note("next"); }).observe(document.querySelector("#card"), { childList: true });
			new MutationObserver(() => note("drawing")).observe(document.querySelector("#drawing"), { childList: true });
			document.querySelector("#write").click();
		})`, n))
		t.Logf("milliseconds from the key to what is painted: %s", took)
		b.settled()
	}
}

// TestARecordingAndAWriteUp hands a recording in and takes a write-up out, where the command offers both.
func TestARecordingAndAWriteUp(t *testing.T) {
	folder := jobs(t)
	var got string
	s := serve(t, folder, 0, func(o *web.Options, _ *door.Options) {
		o.Recorded = func(_ *circuits.Job, r circuits.Reading, name string, csv []byte) (web.Recorded, error) {
			if len(csv) < 10 {
				return web.Recorded{}, errors.New(name + ": it holds nothing")
			}
			got = fmt.Sprint(name, " ", r.At, " ", r.Quantity, " ", len(csv))
			r.Taken, r.Pair, r.Value, r.High = true, true, 0.1234567, 2.75
			return web.Recorded{Reading: r, Says: []string{"it jumped 3 times"}}, nil
		}
		o.WriteUps = []web.WriteUp{{Form: "md", Label: "text", End: ".md", Type: "text/markdown", Render: func(j *circuits.Job, ranking rank.Ranking) ([]byte, error) {
			return []byte(j.Machine + " " + view.Verdict(&ranking)), nil
		}}}
	})
	b := s.tab(startJob, 360)
	b.settled()
	b.js("[...document.querySelectorAll('#points button')].find(e => e.querySelector('strong').textContent === 'MCU:A2').click()")
	b.wait("document.querySelector('#sheet').open")
	b.js("document.querySelector('input[name=quantity][value=scan_volts]').click(); document.querySelector('#more').open = true")
	upload := func(name, text string) {
		path := filepath.Join(t.TempDir(), name)
		write(t, path, text)
		b.run(chromedp.SetUploadFiles("#csv", []string{path}))
	}
	upload("empty.csv", "x")
	b.text("#recorded", "empty.csv: it holds nothing.")
	upload("drive.csv", strings.Repeat("0,1\n", 500_000)) // 2 MB, more than any other body may have
	b.text("#recorded", "It jumped 3 times.")
	if got != "drive.csv MCU:A2 scan_volts 2000000" {
		t.Errorf("it was handed %s", got)
	}
	for at, want := range map[string]int{"MHS:9": 422, "C7:1": 200, "MHS:1/device": 422} { // the last one's plug is not apart
		reading := strings.Replace(volts("", "1"), "MHS:1", at, 1)
		status, text := s.post("/api/recording?file=mast-height-start.job.toml&name=x.csv&reading="+url.QueryEscape(reading), "0,1\n0,1\n0,1\n")
		if status != want || at == "C7:1" && got != "x.csv C7:1/chassis volts 12" {
			t.Errorf("a recording at %s: %d %s, handed on as %s", at, status, text, got)
		}
	}
	b.shot("recording-360")
	b.sound("a recording")
	b.choose("#wiggle", "C7")
	b.click("#write")
	b.text("#readings", "0.123 V to 2.75 V")
	if file := contents(t, filepath.Join(folder, "mast-height-start.job.toml")); !strings.HasSuffix(file, "scan_volts = [0.123457, 2.75]\nwiggle = \"C7\"\n") {
		t.Errorf("the file holds\n%s", file)
	}
	if status, text := get(t, s.url+b.js("document.querySelector('#forms a').getAttribute('href')")); status != 200 || !strings.HasPrefix(text, "stacker 4") {
		t.Errorf("the write-up: %d %s", status, text)
	}
	if status, _ := get(t, s.url+"/api/report?file=mast-height.job.toml&form=exe"); status != 400 {
		t.Errorf("a form that is none: %d", status)
	}
}
