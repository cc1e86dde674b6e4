package web_test

import (
	"bufio"
	"encoding/json"
	"flag"
	"fmt"
	"net/http"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"ohmtrail/circuits"
	"ohmtrail/circuits/made"
	"ohmtrail/circuits/read"
	"ohmtrail/solver/network"
)

// ranks hears which versions of a job are ranked.
func ranks(t *testing.T, url string, heard chan<- string) {
	t.Helper()
	answer, err := http.Get(url)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { answer.Body.Close() })
	go func() {
		defer close(heard)
		name := ""
		for lines := bufio.NewScanner(answer.Body); lines.Scan(); {
			if word, ok := strings.CutPrefix(lines.Text(), "event: "); ok {
				name = word
			}
			var value struct{ Version string }
			if body, ok := strings.CutPrefix(lines.Text(), "data: "); ok && name == "ranked" && json.Unmarshal([]byte(body), &value) == nil {
				heard <- value.Version
			}
		}
	}()
}

// shown is a point and the volts that a meter shows there.
type shown struct{ at, shows string }

// readable are the contacts at which the circuit, with its middle wire broken, shows a value.
func readable(c *circuits.Circuit) []shown {
	broken := circuits.Fault{First: circuits.Single{Kind: circuits.Open, At: c.Wires[len(c.Wires)/2].Location}}
	var out []shown
	for _, k := range c.Contacts {
		at, err := c.Resolve(k.Location.From)
		if err != nil {
			continue
		}
		r := circuits.Reading{At: circuits.PointLocation(at), To: circuits.BNegative, Quantity: circuits.Volts, State: circuits.State{Key: circuits.KeyOn}}
		if got := network.Read(c, circuits.DefaultMeter(), r, nil, broken); got.Status == network.Fine {
			out = append(out, shown{at.String(), fmt.Sprintf("%.3f", got.Value)})
		}
	}
	return out
}

var eightWires = flag.Int("wires", 40, "the `WIRES` of the harness that eight hands write on")

// TestEightHandsOnOneJob lets eight people write at the same moment. Every reading is answered and stands in the file
// once, in the order of each hand; the text that came out last is ranked, and of those before hardly any. The times are
// for who reads them: go test ./cmd/internal/web -run EightHands -wires 163 -v
func TestEightHandsOnOneJob(t *testing.T) {
	const hands, each = 8, 2
	folder := t.TempDir()
	harness := made.Harness(1, *eightWires)
	write(t, filepath.Join(folder, "made.circuit.toml"), harness)
	write(t, filepath.Join(folder, "j.job.toml"), "format = 1\ncircuit = \"made.circuit.toml\"\n")
	c, problems := read.Circuit("made", []byte(harness))
	if c == nil {
		t.Fatal(problems)
	}
	s := serve(t, folder, 0, nil)
	heard := make(chan string, 1000)
	ranks(t, s.url+"/api/events?file=j.job.toml", heard)
	get(t, s.url+"/api/job?file=j.job.toml")
	<-heard // as it was before

	var (
		all   sync.WaitGroup
		mu    sync.Mutex
		times []time.Duration
	)
	note := func(hand, n int) string { return fmt.Sprintf("hand %d, reading %d", hand, n) }
	points := readable(c)
	for hand := range hands {
		all.Go(func() {
			for n := range each {
				p := points[(hand*each+n)*len(points)/(hands*each)]
				body := strings.Replace(volts(fmt.Sprintf("hand-%d-%02d", hand, n), p.shows), "MHS:1", p.at, 1)
				began := time.Now()
				status, text, err := post(s.url+"/api/readings?file=j.job.toml", strings.Replace(body, `"note":""`, fmt.Sprintf(`"note":%q`, note(hand, n)), 1))
				took := time.Since(began)
				if err != nil || status != 200 {
					t.Errorf("%s: %d %.300s %v", note(hand, n), status, text, err)
				}
				mu.Lock()
				times = append(times, took)
				mu.Unlock()
			}
		})
	}
	began := time.Now()
	all.Wait()
	var job struct {
		Version  string
		Ranked   bool
		Readings []struct{ Read string }
	}
	ask := func() {
		if status, text := get(t, s.url+"/api/job?file=j.job.toml"); status != 200 || json.Unmarshal([]byte(text), &job) != nil {
			t.Fatalf("%d %s", status, text)
		}
	}
	ask()
	rankings := 1
	for version := range heard {
		if version == job.Version {
			break
		}
		rankings++
	}
	ranked := time.Since(began)
	if ask(); !job.Ranked || len(job.Readings) != hands*each {
		t.Errorf("ranked %v, %d readings", job.Ranked, len(job.Readings))
	}
	if rankings > hands*each/2 {
		t.Errorf("%d texts were ranked for %d readings", rankings, hands*each)
	}
	file := contents(t, filepath.Join(folder, "j.job.toml"))
	for hand := range hands {
		last := 0
		for n := range each {
			at := strings.Index(file, note(hand, n))
			if strings.Count(file, note(hand, n)) != 1 || at < last {
				t.Errorf("%s stands %d times, or before an earlier one", note(hand, n), strings.Count(file, note(hand, n)))
			}
			last = at
		}
	}
	slices.Sort(times)
	t.Logf("%d readings by %d hands on %d wires: half answered within %v, 95 %% within %v, all within %v; %d texts ranked, the last one after %v",
		len(times), hands, *eightWires, times[len(times)/2], times[len(times)*95/100], times[len(times)-1], rankings, ranked)
}
