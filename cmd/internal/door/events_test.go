package door_test

import (
	"bufio"
	"context"
	"net/http"
	"strings"
	"testing"
	"time"

	"ohmtrail/cmd/internal/door"
)

// stream reads events of a hub, one line a call; the returned function hangs up.
func stream(t *testing.T, url, had string) (next func() string, leave func()) {
	t.Helper()
	ctx, cancel := context.WithCancel(t.Context())
	r, err := http.NewRequestWithContext(ctx, "GET", url, nil)
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Last-Event-ID", had)
	answer, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	lines := bufio.NewScanner(answer.Body)
	return func() string {
		if !lines.Scan() {
			return "end"
		}
		return lines.Text()
	}, func() { cancel(); answer.Body.Close() }
}

// one reads up to the end of an event.
func one(next func() string) string {
	var all []string
	for {
		switch line := next(); line {
		case "":
			if len(all) > 0 {
				return strings.Join(all, "|")
			}
		case "end":
			return "end"
		default:
			if !strings.HasPrefix(line, "retry") {
				all = append(all, line)
			}
		}
	}
}

func TestEventsReachAndAreCaughtUp(t *testing.T) {
	hub := door.NewHub()
	d := opened(t, door.Options{}, http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { hub.Serve(w, r, "job") }))
	d.WhenClosing(hub.Close)
	next, leave := stream(t, d.URL(), "")
	first := one(next)
	if !strings.Contains(first, "event: afresh") {
		t.Fatalf("first %q", first)
	}
	hub.Send("other", "reading", 1)
	hub.Send("job", "reading", map[string]any{"at": "C7:3\n\nevent: forged"})
	second := one(next)
	if !strings.Contains(second, `event: reading|data: {"at":"C7:3\n\nevent: forged"}`) {
		t.Errorf("second %q", second)
	}
	leave()
	hub.Send("job", "reading", 3)
	id, _, _ := strings.Cut(strings.TrimPrefix(second, "id: "), "|")
	next, leave = stream(t, d.URL(), id)
	if third := one(next); !strings.HasSuffix(third, "event: reading|data: 3") {
		t.Errorf("caught up with %q", third)
	}
	leave()
	for range 300 {
		hub.Send("job", "reading", 4)
	}
	for _, stale := range []string{id, "OTHERRUN00.3", "garbage", id + "999"} {
		next, leave = stream(t, d.URL(), stale)
		if got := one(next); !strings.Contains(got, "event: afresh") {
			t.Errorf("after %q: %q", stale, got)
		}
		leave()
	}
}

// TestASlowPageIsDropped lets a page read nothing while events go out; the sender never waits and the page's stream ends.
func TestASlowPageIsDropped(t *testing.T) {
	hub := door.NewHub()
	d := opened(t, door.Options{}, http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { hub.Serve(w, r, "job") }))
	d.WhenClosing(hub.Close)
	next, leave := stream(t, d.URL(), "")
	defer leave()
	one(next)
	large := strings.Repeat("x", 1<<20)
	for n := 0; hub.Listeners("job") > 0; n++ {
		if n > 1000 {
			t.Fatal("it is never dropped")
		}
		hub.Send("job", "reading", large)
	}
}

func TestServeEndsWithOpenStreams(t *testing.T) {
	hub := door.NewHub()
	d, err := door.Open(door.Options{Port: door.AnyPort})
	if err != nil {
		t.Fatal(err)
	}
	d.WhenClosing(hub.Close)
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() {
		ended <- d.Serve(ctx, http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { hub.Serve(w, r, "job") }))
	}()
	next, leave := stream(t, d.URL(), "")
	defer leave()
	one(next)
	began := time.Now()
	stop()
	if err := <-ended; err != nil || time.Since(began) > 2*time.Second {
		t.Errorf("%v after %v", err, time.Since(began))
	}
}
