// Command ohmtrail-layout places the nodes and edges of one graph with Graphviz: the graph as DOT text on standard input, places
// in Graphviz's plain format on standard output. ohmtrail starts it, one process for one graph.
//
// It is a program of its own because linking go-graphviz costs every start 30 ms and 16 MB, and because its compiled code is kept in
// the temporary directory: whoever starts this program gives it one of its own (TMPDIR), which nobody else can write to.
package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"time"

	graphviz "github.com/goccy/go-graphviz"
)

const (
	mostBytes = 8 << 20          // of a graph
	longest   = 60 * time.Second // that a graph may take
)

func main() {
	time.AfterFunc(longest, func() {
		fmt.Fprintf(os.Stderr, "ohmtrail-layout: this graph takes longer than %v\n", longest)
		os.Exit(1)
	})
	if len(os.Args) > 1 {
		fmt.Fprintln(os.Stderr, "ohmtrail-layout: it takes no arguments: a graph as DOT text on standard input; ohmtrail starts it for `ohmtrail flowchart`")
		os.Exit(2)
	}
	if err := place(os.Stdin, os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "ohmtrail-layout:", err)
		os.Exit(1)
	}
}

// place answers one request.
func place(in io.Reader, out io.Writer) error {
	dot, err := io.ReadAll(io.LimitReader(in, mostBytes+1))
	if err != nil {
		return err
	}
	if len(dot) > mostBytes {
		return fmt.Errorf("the graph is larger than %d MB", mostBytes>>20)
	}
	if len(bytes.TrimSpace(dot)) == 0 {
		return errors.New("no graph on standard input")
	}
	ctx := context.Background()
	g, err := graphviz.New(ctx)
	if err != nil {
		return fmt.Errorf("Graphviz does not start: %w", err)
	}
	defer g.Close()
	graph, err := graphviz.ParseBytes(dot)
	if err != nil {
		return fmt.Errorf("Graphviz does not read the graph: %w", err)
	}
	defer graph.Close()
	var b bytes.Buffer
	if err := g.Render(ctx, graph, "plain", &b); err != nil {
		return fmt.Errorf("Graphviz does not place the graph: %w", err)
	}
	_, err = out.Write(b.Bytes())
	return err
}
