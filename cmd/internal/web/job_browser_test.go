package web_test

import (
	"path/filepath"
	"testing"
)

// TestAWholeJob goes the way of a technician with a phone: start, tap, type, see it move, unplug, next, undo, reload.
func TestAWholeJob(t *testing.T) {
	s := serve(t, jobs(t), 0, nil)
	b := s.tab("/", 360)
	b.text("#count", "2 jobs")
	b.shot("folder-360")
	b.sound("list of jobs")
	b.click("#new")
	b.choose("#circuit", "mast-height.circuit.toml")
	b.wait("document.querySelectorAll('#codelist input').length > 0")
	b.js(`document.querySelector("#machine").value = "stacker 9"; document.querySelector("#complaint").value = "height jumps"; document.querySelector("#codelist input[value=HEIGHT-LOW]").click()`)
	b.shot("start-360")
	b.sound("start of a job")
	b.click("#form .primary")
	b.text("#title", "stacker 9")
	b.settled()
	b.shot("job-360")
	b.long("job-360-long")
	b.sound("new job")

	path := filepath.Join(s.folder, "stacker-9-height-jumps.job.toml")
	t.Log(read(t, path))

	b.click("#take-any")
	b.button("#points", "MHS:1supply, OG/WH wire")
	b.text("#sheet-title", "MHS:1")
	b.pad("5", ".", "0", "1")
	b.shot("sheet-360")
	b.sound("sheet")
	b.click("#write")
	b.wait("!document.querySelector('#sheet').open")
	b.text("#readings", "5.01 V")
	b.settled()
	b.shot("after-360")
}
