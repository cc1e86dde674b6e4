package door

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log"
	"net"
	"net/http"
	"os/signal"
	"strconv"
	"sync"
	"syscall"
	"time"
)

// DefaultPort is where a door opens when no port is asked for and nobody else is there: always the same, so that a page
// that was open before the program was started again finds it.
const DefaultPort = 8642

// Options say how a door opens. The zero Options is a door for this machine on DefaultPort.
type Options struct {
	LAN    bool     // the local network may come in too; then everybody needs a pass
	Locked bool     // a pass is needed on this machine too, without LAN
	Port   int      // 0: DefaultPort, or any free one where that is taken; AnyPort: any free one
	Passes []string // kinds of pass, such as "trainer", "learner"; none stands for one kind, ""

	// Secrets are those of an earlier door with these kinds of pass (Door.Secrets), so that who was in stays in; nil, and
	// what cannot be used, for new ones.
	Secrets []byte

	// BodyBytes is the largest body that a request may have; nil, and 0, stand for 1 MB. It sees the request before
	// anything of the body is read.
	BodyBytes func(*http.Request) int64

	Log io.Writer // one line for what went wrong on our side; nil for nowhere
}

// AnyPort is the port of tests: any that is free.
const AnyPort = -1

// Door is an open door. Its methods may be called from many goroutines.
type Door struct {
	options  Options
	listener net.Listener
	passes   []pass
	log      *log.Logger
	wrong    chan struct{} // one token for each wrong code that is being answered

	mu     sync.Mutex
	ending []func()
}

// Open listens. The errors say what to do: a port that is taken, or may not be used.
func Open(o Options) (*Door, error) {
	host := "127.0.0.1"
	if o.LAN {
		host = ""
	}
	listener, err := listen(host, o.Port)
	if err != nil {
		return nil, err
	}
	out := o.Log
	if out == nil {
		out = io.Discard
	}
	d := &Door{options: o, listener: newCrowd(listener), log: log.New(out, "", log.LstdFlags), wrong: make(chan struct{}, mostWrong)}
	kinds := o.Passes
	if len(kinds) == 0 {
		kinds = []string{""}
	}
	for _, kind := range kinds {
		d.passes = append(d.passes, knownPass(kind, o.Secrets))
	}
	return d, nil
}

func listen(host string, port int) (net.Listener, error) {
	at := func(port int) (net.Listener, error) {
		return net.Listen("tcp", net.JoinHostPort(host, strconv.Itoa(port)))
	}
	switch {
	case port == AnyPort:
		return at(0)
	case port == 0:
		if l, err := at(DefaultPort); err == nil {
			return l, nil
		}
		return at(0)
	case port < 0 || port > 65535:
		return nil, fmt.Errorf("port %d: a port is a number from 1 to 65535", port)
	}
	l, err := at(port)
	switch {
	case errors.Is(err, syscall.EADDRINUSE):
		return nil, fmt.Errorf("port %d: another program listens there; name another port, or none", port)
	case errors.Is(err, syscall.EACCES):
		return nil, fmt.Errorf("port %d: you may not listen there; name one above 1023", port)
	case err != nil:
		return nil, fmt.Errorf("port %d: %w", port, err)
	}
	return l, nil
}

// Port is the port that the door listens on.
func (d *Door) Port() int { return d.listener.Addr().(*net.TCPAddr).Port }

// URL is the page's address on this machine. It holds no code: see Invitation.
func (d *Door) URL() string { return fmt.Sprintf("http://127.0.0.1:%d/", d.Port()) }

// NeedsPass tells whether people need a pass to come in.
func (d *Door) NeedsPass() bool { return d.options.LAN || d.options.Locked }

// Time limits. A page that waits for events has none to read and its own to write: see Hub.
const (
	headerTime = 5 * time.Second
	bodyTime   = 60 * time.Second
	answerTime = 60 * time.Second
	idleTime   = 2 * time.Minute
	endTime    = 3 * time.Second
)

// Serve answers requests with the handler until ctx is done, then lets the answers under way end within three seconds
// and gives nil. It serves once.
func (d *Door) Serve(ctx context.Context, page http.Handler) error {
	server := &http.Server{
		Handler:           d.guard(page),
		ErrorLog:          d.log,
		ReadHeaderTimeout: headerTime,
		ReadTimeout:       bodyTime,
		WriteTimeout:      answerTime,
		IdleTimeout:       idleTime,
		MaxHeaderBytes:    32 << 10,
	}
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(d.listener) }()
	select {
	case err := <-ended:
		return err
	case <-ctx.Done():
	}
	d.mu.Lock()
	ending := d.ending
	d.mu.Unlock()
	for _, end := range ending {
		end()
	}
	last, stop := context.WithTimeout(context.WithoutCancel(ctx), endTime)
	defer stop()
	if err := server.Shutdown(last); err != nil {
		server.Close()
	}
	<-ended
	return nil
}

// WhenClosing has a function called when Serve begins to end: (*Hub).Close, for answers that would never end by
// themselves. Call it before Serve.
func (d *Door) WhenClosing(end func()) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.ending = append(d.ending, end)
}

// UntilStopped is a context that ends at the first SIGINT (Ctrl-C) or SIGTERM. A second one ends the program at once.
func UntilStopped(parent context.Context) (ctx context.Context, stop func()) {
	ctx, stop = signal.NotifyContext(parent, syscall.SIGINT, syscall.SIGTERM)
	context.AfterFunc(ctx, stop)
	return ctx, stop
}
