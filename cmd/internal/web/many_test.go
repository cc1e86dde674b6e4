package web_test

import (
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"ohmtrail/cmd/internal/door"
	"ohmtrail/cmd/internal/web"
)

// lines is a log that several goroutines write.
type lines struct {
	mu  sync.Mutex
	all []string
}

func (l *lines) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.all = append(l.all, string(p))
	return len(p), nil
}

// TestTenThousandRequests sends requests of all kinds from many hands at once; with the race detector it is the check
// that nothing is shared unguarded. Every reading that was answered stands in its file once.
func TestTenThousandRequests(t *testing.T) {
	const hands, each, writes = 20, 500, 1
	log := &lines{}
	folder := t.TempDir()
	for n := range 3 {
		write(t, filepath.Join(folder, fmt.Sprintf("j%d.job.toml", n)), "format = 1\ncircuit = \"library:coolant-temperature\"\n")
	}
	write(t, filepath.Join(folder, "bad.job.toml"), "format = = 1\n")
	s := serve(t, folder, 0, func(o *web.Options, d *door.Options) { o.Log, d.Log = log, log })
	client := &http.Client{Transport: &http.Transport{MaxIdleConnsPerHost: hands}}
	var (
		all     sync.WaitGroup
		mu      sync.Mutex
		answers = map[int]int{}
		written [3][]string
	)
	count := func(status int) {
		mu.Lock()
		defer mu.Unlock()
		answers[status]++
	}
	for hand := range hands {
		all.Go(func() {
			random := rand.New(rand.NewPCG(7, uint64(hand)))
			for n := range each {
				job := random.IntN(3)
				file := fmt.Sprintf("j%d.job.toml", job)
				method, path, body, origin := "GET", "", "", ""
				value := ""
				switch kind := random.IntN(32); {
				case n%(each/writes) == 0:
					value = fmt.Sprintf("1.%02d%01d1", hand, n/(each/writes))
					method, path = "POST", "/api/readings?file="+file
					body = strings.ReplaceAll(volts(fmt.Sprintf("many-%03d-%04d", hand, n), value), "MHS", "ECT")
				case kind == 0:
					path = "/"
				case kind == 1:
					path = "/job?file=" + file
				case kind == 2:
					path = "/assets/job.js"
				case kind == 3:
					path = "/api/job?file=../" + file
				case kind == 4:
					path = "/api/job?file=bad.job.toml"
				case kind == 5 && n%4 == 0:
					path = "/api/why?file=" + file + "&fault=healthy"
				case kind == 6:
					path = "/api/circuit?file=" + file
				case kind == 7:
					method, path, body = "POST", "/api/state?file="+file, `{"key":"on","unplugged":["ECT"]}`
				case kind == 8:
					method, path, body = "POST", "/api/readings?file="+file, volts("x", "1")
				case kind == 9:
					method, path, body, origin = "POST", "/api/readings?file="+file, volts("abcdefgh", "1"), "http://evil.example"
				case kind == 10:
					path = "/api/folder"
				case kind == 11:
					method, path, body = "POST", "/api/remove?file="+file, `{"Name":"reading","Index":0}`
				case kind == 12:
					method, path = "PUT", "/api/job?file="+file
				case kind == 13:
					path = "/nothing/here"
				default:
					path = "/api/job?file=" + file
				}
				r, err := http.NewRequest(method, s.url+path, strings.NewReader(body))
				if err != nil {
					t.Error(err)
					return
				}
				r.Header.Set("Content-Type", "application/json")
				if origin != "" {
					r.Header.Set("Origin", origin)
				}
				answer, err := client.Do(r)
				if err != nil {
					t.Error(err)
					return
				}
				io.Copy(io.Discard, answer.Body)
				answer.Body.Close()
				count(answer.StatusCode)
				if value != "" && answer.StatusCode == 200 {
					mu.Lock()
					written[job] = append(written[job], strings.TrimRight(value, "0"))
					mu.Unlock()
				}
			}
		})
	}
	all.Wait()
	sum, failed, readings := 0, 0, 0
	for status, n := range answers {
		sum += n
		if status >= 500 {
			failed += n
		}
	}
	if sum != hands*each || failed > 0 {
		t.Errorf("%d answers: %v", sum, answers)
	}
	for n, values := range written {
		file := contents(t, filepath.Join(folder, fmt.Sprintf("j%d.job.toml", n)))
		readings += len(values)
		for _, v := range values {
			if strings.Count(file, "volts = "+v+"\n") != 1 {
				t.Errorf("%s stands %d times in job %d", v, strings.Count(file, "volts = "+v+"\n"), n)
			}
		}
		if strings.Count(file, "[[reading]]") != len(values) {
			t.Errorf("job %d holds %d readings, %d were answered", n, strings.Count(file, "[[reading]]"), len(values))
		}
	}
	if readings != hands*writes {
		t.Errorf("%d readings were written", readings)
	}
	if len(log.all) > 0 {
		t.Errorf("the log says %q", log.all)
	}
	t.Logf("answers %v, %d readings", answers, readings)
}
