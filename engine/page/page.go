// Package page serves one local page that shows what a player sounds, and on which it can be played. Nobody but the
// user of this machine reaches it: it listens on the loopback alone unless told otherwise, and answers only those who
// hold the token of its first address (guard.go). What sounds leaves the player as engine.Snapshot does, without a
// lock; what the page plays goes into the player as any MIDI input's messages do. So the audio thread knows nothing of
// it.
//
// The page itself is in mapping/pages/web: plain modules of JavaScript, which a browser takes as they are.
package page

import (
	"context"
	"errors"
	"net"
	"net/http"
	"sync"
	"sync/atomic"
	"time"

	"lapstrake/engine"
	"lapstrake/engine/audible"
	"lapstrake/engine/live"
)

// Settings are what a page needs of the player.
type Settings struct {
	Address  Address
	Title    string // of the project
	Dir      string // its folder
	MapPath  string // of the map in it that is played
	Engine   *engine.Engine
	Arrivals *live.Arrivals
	Teller   *audible.Teller
	Trial    *live.Trial
	Channel  byte // on which the page plays, 0 to 15

	// Check runs all checks on the map, without ever keeping the sound waiting, and tells how far it is; nil where no
	// visitor may ask for that.
	Check func(ctx context.Context, tell func(percent int)) error
}

// Page is a page that is being served. Show belongs to one goroutine; all else may be called from anywhere but the
// audio thread.
type Page struct {
	settings Settings
	listener net.Listener
	server   *http.Server
	guard    *guard
	asks     chan Ask
	ended    context.Context
	end      context.CancelFunc
	working  sync.WaitGroup

	picture atomic.Pointer[[]byte] // newest, as it goes to visitors
	board   board
	chord   chordWatch
	sheet   sheetWatch
	checked checkedWatch

	sketches sketches
	desk     desk
	nudges   nudgeQueue
	aparts   apartBeds
	sound    engine.Snapshot // Show's own

	mu       sync.Mutex
	visitors map[*visitor]bool
}

// Open begins to serve.
func Open(s Settings) (*Page, error) {
	listener, err := s.Address.listen()
	if err != nil {
		return nil, err
	}
	p := &Page{settings: s, listener: limited(listener, mostConnections), guard: newGuard(listener.Addr(), s.Address),
		asks: make(chan Ask, mostAsks), visitors: map[*visitor]bool{},
		sketches: sketches{making: make(chan struct{}, 1), made: map[sketchOf][]byte{}}}
	p.nudges.news = make(chan struct{}, 1)
	p.ended, p.end = context.WithCancel(context.Background())
	p.server = &http.Server{
		Handler: p.guard.protect(p.routes()), MaxHeaderBytes: 16 << 10,
		ReadHeaderTimeout: 5 * time.Second, IdleTimeout: time.Minute,
		ErrorLog: quietLog(),
	}
	p.working.Go(func() { p.server.Serve(p.listener) })
	p.working.Go(p.think)
	p.working.Go(p.tryOut)
	p.working.Go(p.watchChecked)
	return p, nil
}

// URL is the address to open, with the token in it.
func (p *Page) URL() string { return p.guard.firstURL() }

// OnceURL is another address to open, which holds for one visit; the one from before it ends.
func (p *Page) OnceURL() string { return p.guard.onceURL() }

// Asks are what visitors ask of the player as a whole. Whoever plays answers them in his own time.
func (p *Page) Asks() <-chan Ask { return p.asks }

// Close ends all visits, which releases the notes that they hold, and stops serving.
func (p *Page) Close() error {
	p.end()
	err := p.server.Close()
	p.working.Wait()
	if errors.Is(err, net.ErrClosed) {
		return nil
	}
	return err
}

// Visitors is how many pages are open.
func (p *Page) Visitors() int {
	p.mu.Lock()
	defer p.mu.Unlock()
	return len(p.visitors)
}

// Tell puts something on the board: what all visitors are told of a kind, again whenever it is new.
func (p *Page) Tell(kind string, what any) {
	if p.board.tell(kind, what) {
		p.wake()
	}
}

// wake lets every visitor look whether there is news.
func (p *Page) wake() {
	p.mu.Lock()
	defer p.mu.Unlock()
	for v := range p.visitors {
		select {
		case v.news <- struct{}{}:
		default: // still has to look
		}
	}
}
