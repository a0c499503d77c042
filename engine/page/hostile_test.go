// Whatever visitors send, the sound goes on as it was.

package page

import (
	"context"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/coder/websocket"

	"lapstrake/engine"
	"lapstrake/engine/live"
)

// A thousand messages that say nothing that anybody understands, from ten pages at once, while a chord sounds: none
// moves anything, nobody asks for anything, no frame is missed.
func TestHostileMessagesDoNotTouchTheSound(t *testing.T) {
	path := newProject(t)
	p := play(t, path)
	key := p.key(t)
	for _, note := range []byte{48, 55, 64} {
		p.hand.Push(live.Now(), engine.KindNoteOn, note, 100)
	}
	await(t, "the chord sounds", func() bool { return len(p.held()) == 3 })
	events := p.engine.Stats().Events
	random := rand.New(rand.NewPCG(15, 1))
	const pages, messages = 10, 1000
	conns := make([]*websocket.Conn, pages)
	shownOut := 0
	for i := range messages {
		n := i % pages
		for try := 0; conns[n] == nil && try < 1000; try++ {
			conn, err := p.dial(t, key)
			if err != nil { // the place of one that was shown out is not free yet
				time.Sleep(time.Millisecond)
				continue
			}
			go drain(conn)
			conns[n] = conn
		}
		kind, body := hostile(random)
		if err := conns[n].Write(t.Context(), kind, body); err != nil {
			conns[n], shownOut = nil, shownOut+1
		}
	}
	if shownOut == 0 {
		t.Error("nobody was shown out, after a hundred messages each that say nothing")
	}
	const fadedIn = 4 * testRateHz // the output rises for three seconds
	await(t, "half a second more has been rendered", func() bool { return len(p.rendered())/2 > fadedIn+testRateHz/2 })
	got, want := p.rendered(), p.alone(t, path)
	for i := 2 * fadedIn; i < len(got); i++ {
		if got[i] != want[i] {
			t.Fatalf("sample %d of frame %d is %v, and without visitors %v", i%2, i/2, got[i], want[i])
		}
	}
	if now := p.engine.Stats(); now.Events != events || now.Misses != 0 || now.Stolen != 0 {
		t.Errorf("%d events moved something, %d late reads, %d notes cut short", now.Events-events,
			now.Misses, now.Stolen)
	}
	if got := fmt.Sprint(p.held()); got != "[48 55 64]" {
		t.Errorf("held %s", got)
	}
	if p.player.Latch.On() {
		t.Error("the latch is on")
	}
}

// alone renders what was applied on an engine that has no visitors.
func (p *played) alone(t testing.TB, path string) []float32 {
	t.Helper()
	e, err := engine.Open(path, engine.Settings{})
	if err != nil {
		t.Fatal(err)
	}
	defer e.Close()
	score := &scored{}
	for {
		event, some := p.applied.Peek()
		if !some {
			break
		}
		p.applied.Pop()
		*score = append(*score, event)
	}
	sound := make([]float32, len(p.rendered()))
	for out := sound; len(out) > 0; out = out[min(2*testBlock, len(out)):] {
		e.Fill()
		e.Render(out[:min(2*testBlock, len(out))], score)
	}
	return sound
}

// scored are events at their frames.
type scored []engine.Event

func (s *scored) Peek() (engine.Event, bool) {
	if len(*s) == 0 {
		return engine.Event{}, false
	}
	return (*s)[0], true
}

func (s *scored) Pop() { *s = (*s)[1:] }

// drain reads on, as a browser does, until the socket ends.
func drain(conn *websocket.Conn) {
	for {
		if _, _, err := conn.Read(context.Background()); err != nil {
			return
		}
	}
}

// hostile makes a message that nothing may come of.
func hostile(random *rand.Rand) (websocket.MessageType, []byte) {
	pick := func(all ...any) any { return all[random.IntN(len(all))] }
	wrong := pick(-1, 128, 1e9, 60.5, "60", nil, true, []int{1}, map[string]int{"a": 1}, -1<<62)
	switch random.IntN(10) {
	case 0:
		noise := make([]byte, random.IntN(2000))
		for i := range noise {
			noise[i] = byte(random.Uint32())
		}
		return websocket.MessageBinary, noise
	case 1:
		return websocket.MessageText, make([]byte, messageBytes+random.IntN(100_000)+1)
	case 2:
		return websocket.MessageText, []byte(
			pick("", "{", "[]", "null", "0", `"note"`, `{"do":`, `{"do":null}`, `{"do":{}}`,
				`{"do":"note","key":60,"velocity":0}{"do":"silence"}`).(string))
	case 3:
		return websocket.MessageText, encoded(
			map[string]any{"do": pick("", "quit", "constructor", "__proto__", "exec", 7), "key": 60})
	case 4:
		return websocket.MessageText, encoded(
			map[string]any{"do": "note", "key": wrong, "velocity": pick(-1, 128, "x")})
	case 5:
		number := pick(0, 2, 6, 32, 96, 100, 120, 121, 123, 127, 128, -1)
		return websocket.MessageText, encoded(
			map[string]any{"do": "control", "number": number, "value": pick(0, 64, 127)})
	case 6:
		return websocket.MessageText, encoded(map[string]any{"do": "bend", "value": pick(-1, 16384, 1<<40, "up")})
	case 7:
		to := map[string]any{pick("start", "level_db", "tune_cents").(string): pick(-101, 101, 1e300,
			"0", nil, []int{0})}
		return websocket.MessageText, encoded(
			map[string]any{"do": "nudge", "zone": pick(0, wrong), "to": to, "hull": 1})
	case 8:
		return websocket.MessageText, encoded(
			map[string]any{"do": pick("apart", "hearmark"), "bed": pick("../map.toml", "/etc/passwd", "", wrong),
				"how": "alone", "mark": wrong})
	default:
		return websocket.MessageText, encoded(
			map[string]any{"do": pick("latch", "silence", "level", "strike", "where", "all", "pick"), "hull": wrong})
	}
}

func encoded(message map[string]any) []byte {
	body, err := json.Marshal(message)
	if err != nil {
		panic(err)
	}
	return body
}

// A visitor who leaves lets go of all that he holds, by key or pedal, and of nothing else.
func TestLeavingReleasesWhatWasHeld(t *testing.T) {
	p := play(t, newProject(t))
	conn, err := p.dial(t, p.key(t))
	if err != nil {
		t.Fatal(err)
	}
	go drain(conn)
	p.hand.Push(live.Now(), engine.KindNoteOn, 50, 100)
	for _, message := range []string{`{"do":"control","number":64,"value":127}`,
		`{"do":"note","key":60,"velocity":90}`, `{"do":"note","key":62,"velocity":90}`,
		`{"do":"note","key":60,"velocity":0}`, `{"do":"bend","value":9000}`} {
		if err := conn.Write(t.Context(), websocket.MessageText, []byte(message)); err != nil {
			t.Fatal(err)
		}
	}
	await(t, "both keys and the world's sound, and the bend has moved", func() bool {
		return fmt.Sprint(p.held()) == "[50 60 62]" && p.engine.Controllers().BendTurned > 0 &&
			p.engine.Controllers().Hold
	})
	conn.CloseNow()
	await(t, "only the world's key is held", func() bool {
		c := p.engine.Controllers()
		return fmt.Sprint(p.held()) == "[50]" && !c.Hold && c.BendTurned == 0
	})
}

// Too many messages a second end a visit.
func TestFloodsEndAVisit(t *testing.T) {
	p := play(t, newProject(t))
	conn, err := p.dial(t, p.key(t))
	if err != nil {
		t.Fatal(err)
	}
	go drain(conn)
	for range 20 * messagesAtOnce {
		if conn.Write(t.Context(), websocket.MessageText, []byte(`{"do":"bend","value":8192}`)) != nil {
			break
		}
	}
	await(t, "the visit has ended", func() bool { return p.Visitors() == 0 })
}
