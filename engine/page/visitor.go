// A visitor: one open page, its socket, and the input that it plays through.

package page

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"time"

	"github.com/coder/websocket"

	"lapstrake/engine/live"
)

const writeTimeout = 10 * time.Second // a browser that takes longer sleeps

// visitor is one open page.
type visitor struct {
	page  *Page
	input *live.Input   // what it plays; closing it releases what it holds
	news  chan struct{} // something may have changed
	say   chan []byte   // answers to it alone
	seen  map[string]int
	wrong int

	stopFinding  context.CancelFunc // ends what playFinding plays
	findingEnded chan struct{}      // is closed when that has ended
}

// visit serves a socket until either side ends.
func (p *Page) visit(w http.ResponseWriter, r *http.Request) {
	if r.Header.Get("Origin") == "" { // browsers always say it; the guard has held it against the page's own
		http.Error(w, "a socket is for the page alone", http.StatusForbidden)
		return
	}
	v, err := p.welcome()
	if err != nil {
		http.Error(w, err.Error(), http.StatusServiceUnavailable)
		return
	}
	defer p.farewell(v)
	conn, err := websocket.Accept(w, r, &websocket.AcceptOptions{CompressionMode: websocket.CompressionDisabled})
	if err != nil {
		return // has been answered
	}
	defer conn.CloseNow()
	conn.SetReadLimit(messageBytes)
	ctx, cancel := context.WithCancel(p.ended)
	defer cancel()
	go func() {
		defer cancel()
		v.write(ctx, conn)
	}()
	v.read(ctx, conn)
}

// welcome gives a visitor an input of his own.
func (p *Page) welcome() (*visitor, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if len(p.visitors) >= mostVisitors {
		return nil, errors.New("so many pages are open already that no more are let in: close one")
	}
	input, err := p.settings.Arrivals.Open()
	if err != nil {
		return nil, err
	}
	v := &visitor{page: p, input: input, news: make(chan struct{}, 1), say: make(chan []byte, 8),
		seen:        map[string]int{},
		stopFinding: func() {}, findingEnded: make(chan struct{})}
	close(v.findingEnded)
	v.news <- struct{}{}
	p.visitors[v] = true
	return v, nil
}

func (p *Page) farewell(v *visitor) {
	v.input.Close()
	p.mu.Lock()
	defer p.mu.Unlock()
	delete(p.visitors, v)
}

// read does what the visitor says until he leaves, says too much or too often what nobody understands.
func (v *visitor) read(ctx context.Context, conn *websocket.Conn) {
	rate := newBucket(messagesPerSec, messagesAtOnce)
	for {
		kind, body, err := conn.Read(ctx)
		if err != nil {
			return
		}
		if !rate.take() {
			conn.Close(websocket.StatusPolicyViolation, "too many messages")
			return
		}
		if kind == websocket.MessageText {
			err = v.do(ctx, body)
		} else {
			err = errors.New("expected text")
		}
		if err != nil {
			if v.wrong++; v.wrong >= wrongMessages {
				conn.Close(websocket.StatusPolicyViolation, "too many messages that say nothing")
				return
			}
			v.tell("wrong", err.Error())
		}
	}
}

// write sends the newest picture, what is new on the board, and answers. A slow browser misses pictures and delays
// nobody.
func (v *visitor) write(ctx context.Context, conn *websocket.Conn) {
	var sent *[]byte
	for {
		select {
		case <-ctx.Done():
			conn.Close(websocket.StatusGoingAway, "the player ends")
			return
		case answer := <-v.say:
			if send(ctx, conn, websocket.MessageText, answer) != nil {
				return
			}
		case <-v.news:
			for _, text := range v.page.board.since(v.seen) {
				if send(ctx, conn, websocket.MessageText, text) != nil {
					return
				}
			}
			if picture := v.page.picture.Load(); picture != nil && picture != sent {
				if send(ctx, conn, websocket.MessageBinary, *picture) != nil {
					return
				}
				sent = picture
			}
		}
	}
}

func send(ctx context.Context, conn *websocket.Conn, kind websocket.MessageType, body []byte) error {
	ctx, cancel := context.WithTimeout(ctx, writeTimeout)
	defer cancel()
	return conn.Write(ctx, kind, body)
}

// tell answers this visitor alone. One who does not listen is told nothing.
func (v *visitor) tell(told string, what any) {
	body, err := json.Marshal(telling{told, what})
	if err != nil {
		return // what is told is ours: no visitor can make it unwritable
	}
	select {
	case v.say <- body:
	default:
	}
}
