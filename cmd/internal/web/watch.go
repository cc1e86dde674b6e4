package web

import (
	"net/http"
	"path"
	"path/filepath"
	"time"

	"ohmtrail/circuits/library"
)

// Files are looked at so often while a page is on them. A look is two questions to the file system; a file is read only
// where its size or time has changed, or is so young that a further change might not show in its time. We ask instead of
// being told (inotify) because folders of a workshop lie on network drives and sticks, which tell nothing.
const (
	lookEvery  = 400 * time.Millisecond
	listEvery  = 5 // every so many looks the list of files too
	youngStamp = 3 * time.Second
)

// folderTopic is what pages that show the folder listen to. No job has this name.
const folderTopic = "/"

type stamp struct {
	size     int64
	modified time.Time
}

// watch tells pages of changes that were made by hand.
func (p *Page) watch() {
	tick := time.NewTicker(lookEvery)
	defer tick.Stop()
	stamps := map[string]stamp{}
	listed := ""
	for n := 0; ; n++ {
		select {
		case <-p.stop:
			return
		case now := <-tick.C:
			p.look(stamps, now)
			if n%listEvery == 0 && p.hub.Listeners(folderTopic) > 0 {
				if l := p.fingerprint(); l != listed {
					listed = l
					p.hub.Send(folderTopic, "folder", map[string]string{})
				}
			}
		}
	}
}

// look reads the jobs that pages are on where their files have changed.
func (p *Page) look(stamps map[string]stamp, now time.Time) {
	p.mu.Lock()
	var open []*work
	for name, w := range p.jobs {
		if p.hub.Listeners(name) > 0 {
			open = append(open, w)
		}
	}
	p.mu.Unlock()
	for _, w := range open {
		changed := p.changed(w.name, stamps, now)
		if c := w.circuitFile(); c != "" {
			changed = p.changed(c, stamps, now) || changed
		}
		if !changed {
			continue
		}
		if _, err := p.read(w); err != nil {
			p.hub.Send(w.name, "gone", map[string]string{"error": err.Error()})
		}
	}
}

// circuitFile is the circuit's name in the folder; "" for one of the library, and where no text of the job could be used.
func (w *work) circuitFile() string {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.good == nil || library.Holds(w.good.job.CircuitName) {
		return ""
	}
	return path.Join(path.Dir(w.name), filepath.ToSlash(w.good.job.CircuitName))
}

func (p *Page) changed(name string, stamps map[string]stamp, now time.Time) bool {
	s := stamp{size: -1}
	if info, err := p.folder.root.Stat(filepath.FromSlash(name)); err == nil {
		s = stamp{info.Size(), info.ModTime()}
	}
	before, there := stamps[name]
	stamps[name] = s
	return !there || before != s || now.Sub(s.modified) < youngStamp
}

// fingerprint changes where a file of the folder does.
func (p *Page) fingerprint() string {
	var all []byte
	for _, end := range []string{jobEnd, circuitEnd} {
		for _, f := range p.folder.list(end) {
			all = append(all, f.name...)
			all = f.modified.AppendFormat(all, time.RFC3339Nano)
		}
	}
	return versionOf(all)
}

// events is the stream of one page: of a job (?file=), or of the folder.
func (p *Page) events(w http.ResponseWriter, r *http.Request) {
	topic := r.URL.Query().Get("file")
	if topic == "" {
		topic = folderTopic
	} else if _, _, err := p.on(r); err != nil {
		p.fail(w, err)
		return
	}
	p.hub.Serve(w, r, topic)
}
