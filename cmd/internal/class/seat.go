package class

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"net"
	"net/http"
	"strconv"
	"strings"
	"sync"
	"time"
	"unicode"

	"ohmtrail/cmd/internal/exercise"
	"ohmtrail/cmd/internal/exercise/marking"
)

// seat is one student in the class. What stands in seatState is guarded by Class.mu.
type seat struct {
	seatState

	mu      sync.Mutex // guards what follows
	item    *item      // nil where nothing has been dealt
	round   int        // in which it was dealt
	play    *exercise.Play
	changed time.Time      // of the last step, or of joining
	known   known          // what the readings have shown, for the board
	marks   *marking.Marks // nil until they are reckoned
}

const (
	mostSeats   = 200
	longestName = 40 // letters
)

// cookieName differs by port, for browsers share cookies among the ports of one host.
func cookieName(r *http.Request) string {
	if a, ok := r.Context().Value(http.LocalAddrContextKey).(net.Addr); ok {
		if _, port, err := net.SplitHostPort(a.String()); err == nil {
			return "ohmtrail-seat-" + port
		}
	}
	return "ohmtrail-seat"
}

func hashed(token string) string {
	sum := sha256.Sum256([]byte(token))
	return hex.EncodeToString(sum[:])
}

// seatOf is the seat of the browser that asks; nil where it has none. c.mu is held.
func (c *Class) seatOf(r *http.Request) *seat {
	for _, cookie := range r.CookiesNamed(cookieName(r)) {
		hash := hashed(cookie.Value)
		for _, s := range c.seats {
			if s.Token == hash { // both are hashes: how far they agree tells nothing of the secret
				return s
			}
		}
	}
	return nil
}

// mine is the seat of the browser that asks, or a refusal.
func (c *Class) mine(r *http.Request) (*seat, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if s := c.seatOf(r); s != nil {
		return s, nil
	}
	return nil, refuse(http.StatusUnauthorized, "you have not joined yet; load the page again")
}

// tidyName is a name as it is shown: letters, one space between words.
func tidyName(s string) string {
	s = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || unicode.Is(unicode.Cf, r) || r == unicode.ReplacementChar {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(s, " "))
	s = strings.Join(strings.Fields(s), " ")
	if r := []rune(s); len(r) > longestName {
		s = strings.TrimSpace(string(r[:longestName]))
	}
	return s
}

// join gives a browser a seat: a new one, or one that the trainer has set free for the name.
func (c *Class) join(w http.ResponseWriter, r *http.Request) {
	var said struct {
		Name string `json:"name"`
	}
	if err := asked(r, &said); err != nil {
		c.fail(w, err)
		return
	}
	token, err := c.takeSeat(r, tidyName(said.Name))
	if err != nil {
		c.fail(w, err)
		return
	}
	if token != "" {
		http.SetCookie(w, &http.Cookie{Name: cookieName(r), Value: token, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode, MaxAge: 30 * 24 * 3600})
	}
	w.Header().Set("Content-Type", "application/json")
	w.Write([]byte("{}\n"))
}

// takeSeat gives the secret of a seat, "" where the browser has one already.
func (c *Class) takeSeat(r *http.Request, name string) (token string, err error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	switch {
	case c.seatOf(r) != nil:
		return "", nil
	case name == "":
		return "", refuse(http.StatusBadRequest, "a name is missing")
	}
	token = rand.Text()
	for _, s := range c.seats {
		if !strings.EqualFold(s.Name, name) {
			continue
		}
		if !s.Free {
			return "", refuse(http.StatusConflict, "there is a %s in the class already; if that is you on another device, ask your trainer to free your seat, else add a letter to your name", s.Name)
		}
		old := s.seatState
		s.Token, s.Free = hashed(token), false
		if err := c.writeState(); err != nil {
			s.seatState = old
			return "", err
		}
		c.changedSeat(s)
		return token, nil
	}
	if len(c.seats) >= mostSeats {
		return "", refuse(http.StatusConflict, "the class is full: it has %d seats", mostSeats)
	}
	last, id := c.st.LastID, c.st.LastID+1
	for _, each := range c.seats {
		id = max(id, each.ID+1)
	}
	c.st.LastID = id
	s := &seat{seatState: seatState{ID: id, Name: name, Token: hashed(token)}, changed: c.o.Now()}
	c.seats = append(c.seats, s)
	dealt := c.st.Dealt
	if c.st.Phase == running {
		c.deal(s)
	}
	if err := c.writeState(); err != nil {
		c.seats, c.st.Dealt, c.st.LastID = c.seats[:len(c.seats)-1], dealt, last
		return "", err
	}
	c.hub.Send("board", "changed", struct{}{})
	return token, nil
}

// deal gives a student the next exercise of the pick, in the order of joining: neighbours differ as long as the pick has
// two. c.mu is held.
func (c *Class) deal(s *seat) {
	if len(c.st.Pick) == 0 {
		return
	}
	it := c.item(c.st.Pick[c.st.Dealt%len(c.st.Pick)])
	c.st.Dealt++
	s.Exercise = it.x.Name
	s.mu.Lock()
	defer s.mu.Unlock()
	s.item, s.round, s.play, s.known, s.marks, s.changed = it, c.st.Round, exercise.NewPlay(it.x, s.Name), known{}, nil, c.o.Now()
}

// topic is where a student's own pages listen.
func (s *seat) topic() string { return "seat " + strconv.Itoa(s.ID) }

// changedSeat tells a student's pages and the board that something is new.
func (c *Class) changedSeat(s *seat) {
	c.hub.Send(s.topic(), "changed", struct{}{})
	c.hub.Send("board", "changed", struct{}{})
}

func (c *Class) studentEvents(w http.ResponseWriter, r *http.Request) {
	c.mu.Lock()
	s := c.seatOf(r)
	topics := []string{"class"}
	if s != nil {
		topics = append(topics, s.topic())
	}
	c.mu.Unlock()
	c.hub.Serve(w, r, topics...)
}

func (c *Class) boardEvents(w http.ResponseWriter, r *http.Request) {
	c.hub.Serve(w, r, "class", "board")
}
