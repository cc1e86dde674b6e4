package door

import (
	"net"
	"sync"
)

// How many connections are open at once. A browser opens six to one server.
const (
	mostConnections = 512
	mostFromOne     = 64
)

// crowd is a listener that hangs up on who would be too many. Connections of this machine share no limit of one address,
// for tests and for whoever tunnels to it.
type crowd struct {
	net.Listener
	mu   sync.Mutex
	all  int
	from map[string]int
}

func newCrowd(l net.Listener) *crowd { return &crowd{Listener: l, from: map[string]int{}} }

// Accept gives the next connection that there is room for.
func (c *crowd) Accept() (net.Conn, error) {
	for {
		conn, err := c.Listener.Accept()
		if err != nil {
			return nil, err
		}
		if host, ok := c.enter(conn.RemoteAddr()); ok {
			return &visitor{Conn: conn, leave: func() { c.leave(host) }}, nil
		}
		conn.Close()
	}
}

func (c *crowd) enter(from net.Addr) (host string, ok bool) {
	host, _, err := net.SplitHostPort(from.String())
	if err != nil {
		host = from.String()
	}
	ip := net.ParseIP(host)
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.all >= mostConnections || c.from[host] >= mostFromOne && !(ip != nil && ip.IsLoopback()) {
		return host, false
	}
	c.all++
	c.from[host]++
	return host, true
}

func (c *crowd) leave(host string) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.all--
	if c.from[host]--; c.from[host] == 0 {
		delete(c.from, host)
	}
}

// visitor is a connection that is counted until it closes.
type visitor struct {
	net.Conn
	once  sync.Once
	leave func()
}

// Close ends the connection.
func (v *visitor) Close() error {
	v.once.Do(v.leave)
	return v.Conn.Close()
}
