package door

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"sync"
	"time"
)

// Hub sends events to pages that listen (server-sent events). Make one with NewHub; its methods may be called from many
// goroutines. Send never waits for a page.
//
// A page listens with `new EventSource("/events")`. Each event has a name and a JSON value; besides those that are sent,
// a page must know "afresh": what came before is not known any more, so fetch everything anew. It comes first on every
// new connection but one that went on without a gap.
type Hub struct {
	mark string // of this hub among those of other runs of the program

	mu     sync.Mutex
	last   int     // number of the last event
	kept   []event // the latest events, in order
	pages  map[*listening]bool
	closed bool
}

type event struct {
	number int
	topic  string
	text   []byte // as it goes to the page
}

// listening is one page's stream.
type listening struct {
	topics map[string]bool
	next   chan event
	lost   chan struct{} // closed when the page could not keep up, or the hub ends
}

const (
	keptEvents  = 256 // that a page that comes back can catch up on
	waiting     = 64  // events that may wait for one slow page
	heartbeat   = 15 * time.Second
	eventTime   = 10 * time.Second // to write one event
	retryMillis = 1000             // until a page comes back
)

// NewHub makes a hub.
func NewHub() *Hub {
	return &Hub{mark: newPass("").code, pages: map[*listening]bool{}}
}

// Send sends an event to every page that listens to the topic. The value is sent as JSON; one that has no JSON is our
// own mistake.
func (h *Hub) Send(topic, name string, value any) {
	body, err := json.Marshal(value)
	if err != nil {
		panic("an event without JSON: " + err.Error())
	}
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.closed {
		return
	}
	h.last++
	var text bytes.Buffer
	fmt.Fprintf(&text, "id: %s.%d\nevent: %s\ndata: %s\n\n", h.mark, h.last, name, body)
	e := event{h.last, topic, text.Bytes()}
	h.kept = append(h.kept, e)
	if len(h.kept) > keptEvents {
		h.kept = append(h.kept[:0:0], h.kept[len(h.kept)-keptEvents:]...)
	}
	for page := range h.pages {
		if !page.topics[topic] {
			continue
		}
		select {
		case page.next <- e:
		default:
			h.drop(page)
		}
	}
}

// drop ends a page's stream; h.mu is held.
func (h *Hub) drop(page *listening) {
	if h.pages[page] {
		delete(h.pages, page)
		close(page.lost)
	}
}

// Close ends all streams; later events go nowhere. Hand it to Door.WhenClosing.
func (h *Hub) Close() {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.closed = true
	for page := range h.pages {
		h.drop(page)
	}
}

// Listeners is how many streams are open on a topic.
func (h *Hub) Listeners(topic string) int {
	h.mu.Lock()
	defer h.mu.Unlock()
	n := 0
	for page := range h.pages {
		if page.topics[topic] {
			n++
		}
	}
	return n
}

// Serve sends the events of the topics to one page until it leaves, falls behind or the hub ends. It is a handler's
// whole answer.
func (h *Hub) Serve(w http.ResponseWriter, r *http.Request, topics ...string) {
	page := &listening{topics: map[string]bool{}, next: make(chan event, waiting), lost: make(chan struct{})}
	for _, t := range topics {
		page.topics[t] = true
	}
	first, ok := h.join(page, r.Header.Get("Last-Event-ID"))
	if !ok {
		Refuse(w, http.StatusServiceUnavailable, "the page is closing")
		return
	}
	defer func() {
		h.mu.Lock()
		h.drop(page)
		h.mu.Unlock()
	}()
	control := http.NewResponseController(w)
	control.SetReadDeadline(time.Time{})
	w.Header().Set("Content-Type", "text/event-stream")
	w.Header().Set("X-Accel-Buffering", "no")
	write := func(text []byte) bool {
		control.SetWriteDeadline(time.Now().Add(eventTime))
		_, err := w.Write(text)
		return err == nil && control.Flush() == nil
	}
	if !write(first) {
		return
	}
	beat := time.NewTicker(heartbeat)
	defer beat.Stop()
	for {
		ok := true
		select {
		case e := <-page.next:
			ok = write(e.text)
		case <-beat.C:
			ok = write([]byte(": still here\n\n"))
		case <-page.lost:
			return
		case <-r.Context().Done():
			return
		}
		if !ok {
			return
		}
	}
}

// join lists a page as listening and gives what it is told at once: what it missed since the event that it had last, or
// that it must start afresh.
func (h *Hub) join(page *listening, had string) (first []byte, ok bool) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.closed {
		return nil, false
	}
	h.pages[page] = true
	first = fmt.Appendf(nil, "retry: %d\n", retryMillis)
	mark, number, _ := strings.Cut(had, ".")
	n, err := strconv.Atoi(number)
	oldest := h.last + 1
	if len(h.kept) > 0 {
		oldest = h.kept[0].number
	}
	if mark != h.mark || err != nil || n > h.last || n < oldest-1 {
		return fmt.Appendf(first, "id: %s.%d\nevent: afresh\ndata: {}\n\n", h.mark, h.last), true
	}
	first = append(first, '\n')
	for _, e := range h.kept {
		if e.number > n && page.topics[e.topic] {
			first = append(first, e.text...)
		}
	}
	return first, true
}
