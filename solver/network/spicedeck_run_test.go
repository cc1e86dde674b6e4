package network_test

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
)

// This file runs ngspice on many networks at once and reads its answers.

const (
	deckElements = 800 // a deck's greatest size; the time of ngspice's ordering grows with the square of it
	spiceWorkers = 2
)

// spiceProgram finds ngspice. In continuous integration its absence is a failure.
func spiceProgram(t *testing.T) string {
	t.Helper()
	path, err := exec.LookPath("ngspice")
	if err != nil && os.Getenv("CI") == "" {
		t.Skip("ngspice is not installed (Debian: apt install ngspice)")
	}
	if err != nil {
		t.Fatal("ngspice is not installed, and this is continuous integration:", err)
	}
	return path
}

// solveNets solves networks in as few runs of ngspice as is fast; for each it returns why it has no solution, or "".
func solveNets(t *testing.T, program string, nets []*spiceNet) []string {
	t.Helper()
	var decks []*spiceDeck
	for _, n := range nets {
		if len(decks) == 0 || decks[len(decks)-1].count >= deckElements {
			decks = append(decks, newDeck())
		}
		decks[len(decks)-1].add(n)
	}
	errs := make([]error, len(decks))
	dir := t.TempDir()
	var wait sync.WaitGroup
	next := make(chan int)
	for worker := range spiceWorkers {
		wait.Add(1)
		go func() {
			defer wait.Done()
			for i := range next {
				errs[i] = runDeck(program, dir, worker, decks[i])
			}
		}()
	}
	for i := range decks {
		next <- i
	}
	close(next)
	wait.Wait()
	var flaws []string
	for i, d := range decks {
		switch {
		case errors.Is(errs[i], errSingular) && len(d.solved) > 1: // find the guilty one
			for k, n := range d.solved {
				flaws = append(flaws, solveNets(t, program, []*spiceNet{n})[0])
				if d.flaw[k] != "" && flaws[len(flaws)-1] == "" {
					t.Errorf("ngspice solved a network with the flaw %q", d.flaw[k])
				}
			}
		case errors.Is(errs[i], errSingular):
			flaws = append(flaws, "singular "+d.flaw[0])
		case errs[i] != nil:
			t.Fatal(errs[i])
		default:
			flaws = append(flaws, d.flaw...)
		}
	}
	return flaws
}

var errSingular = errors.New("ngspice found the matrix singular")

// runDeck runs one deck and hands the answers to its networks.
func runDeck(program, dir string, worker int, d *spiceDeck) error {
	text := d.String()
	if text == "" {
		return d.deliver(nil)
	}
	deck := filepath.Join(dir, fmt.Sprintf("%d.cir", worker))
	raw := filepath.Join(dir, fmt.Sprintf("%d.raw", worker))
	if err := os.WriteFile(deck, []byte(text), 0o600); err != nil {
		return err
	}
	// -n: no start-up file of the user's may change the answer
	log, err := exec.Command(program, "-n", "-b", "-r", raw, deck).CombinedOutput()
	lower := bytes.ToLower(log)
	if bytes.Contains(lower, []byte("singular")) || bytes.Contains(lower, []byte("gmin step")) {
		return errSingular
	}
	if err != nil || bytes.Contains(lower, []byte("error")) {
		return fmt.Errorf("ngspice: %v\n%s", err, log)
	}
	answer, err := os.ReadFile(raw)
	if err != nil {
		return err
	}
	vectors, err := rawVectors(answer)
	if err != nil {
		return err
	}
	return d.deliver(vectors)
}

// rawVectors reads ngspice's raw file of one operating point: a header of lines, then "Binary:" and a double for each
// vector in the order of the header (ngspice manual, "raw file format").
func rawVectors(raw []byte) (map[string]float64, error) {
	const mark = "Binary:\n"
	end := bytes.Index(raw, []byte(mark))
	if end < 0 {
		return nil, fmt.Errorf("raw file without %q", mark)
	}
	header, body := string(raw[:end]), raw[end+len(mark):]
	_, list, ok := strings.Cut(header, "Variables:\n")
	if !ok {
		return nil, errors.New("raw file without its variables")
	}
	out := map[string]float64{}
	for i, line := range strings.Split(strings.TrimRight(list, "\n"), "\n") {
		words := strings.Fields(line)
		if len(words) < 3 || len(body) < 8*(i+1) {
			return nil, fmt.Errorf("raw file: line %q, %d bytes", line, len(body))
		}
		out[words[1]] = math.Float64frombits(binary.LittleEndian.Uint64(body[8*i:]))
	}
	return out, nil
}
