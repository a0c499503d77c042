// The page after its player was started anew, after a sleep, and beside the clock.

package page

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/coder/websocket"

	"lapstrake/engine"
	"lapstrake/engine/live"
	"lapstrake/engine/mark"
	"lapstrake/mapping/sound"
)

// A page that slept shows how things stand when it wakes, and is played on as before.
func TestThePageWakes(t *testing.T) {
	v := play(t, newProject(t)).open(t)
	life := func(state page.SetWebLifecycleStateState) {
		t.Helper()
		to := page.SetWebLifecycleStateParams{State: state}
		if _, err := chromedp.Call(v.tab, page.SetWebLifecycleState, to); err != nil {
			t.Fatal(err)
		}
	}
	life(page.SetWebLifecycleStateStateFrozen)
	v.hand.Push(live.Now(), engine.KindNoteOn, 57, 100)
	v.hand.Push(live.Now(), engine.KindControl, 1, 100)
	await(t, "the key sounds", func() bool { return fmt.Sprint(v.held()) == "[57]" })
	life(page.SetWebLifecycleStateStateActive)
	v.awaitAgreement()
	v.plays(60, "[57 60]")
}

// plays presses a key with the mouse, and lets it go.
func (v *visited) plays(key int, want string) {
	v.Helper()
	x, y := v.at(key)
	v.do(chromedp.MouseEvent(chromedp.MousePressed, x, y, chromedp.ButtonLeft))
	await(v, "the page plays", func() bool { return fmt.Sprint(v.held()) == want })
	v.do(chromedp.MouseEvent(chromedp.MouseReleased, x, y, chromedp.ButtonLeft))
}

// When the player has ended, the page says so; when it was started anew at the same address, the page says what to do,
// and once that was done in the same browser, it goes on by itself, without being loaded again.
func TestThePageOutlivesThePlayer(t *testing.T) {
	path := newProject(t)
	first := play(t, path)
	v := first.open(t)
	v.evaluate("window.stays = 'the same page'")
	first.end()
	says := func(text string) func() bool {
		return func() bool { return strings.Contains(v.text("#state"), text) }
	}
	await(t, "the page misses the player", says("does not answer"))
	second := playAt(t, path, Address{Host: "127.0.0.1", Port: int(first.guard.address.Port())})
	v.played = second
	await(t, "the page is refused", says("started anew"))
	other, closeOther := chromedp.NewContext(v.tab)
	defer closeOther()
	if err := chromedp.Do(other, chromedp.Navigate(second.OnceURL())); err != nil {
		t.Fatal(err)
	}
	await(t, "the page is connected again", func() bool { return v.text("#state") == "" && second.Visitors() == 2 })
	if got := v.evaluate("window.stays"); got != "the same page" {
		t.Errorf("the page was loaded again: %s", got)
	}
	v.plays(60, "[60]")
}

// A mark that is heard on the page is what was rendered as it was made, within −100 dB, from so long before it as the
// page asks for: 5 s, or 30 s where as much was kept.
func TestAMarkIsHeardAgain(t *testing.T) {
	p := play(t, newProject(t))
	const fadedInSec = 3.2 // the output rises for three seconds
	await(t, "the output has risen", func() bool { return len(p.rendered())/2 > fadedInSec*testRateHz })
	for _, key := range []byte{50, 57} {
		p.hand.Push(live.Now(), engine.KindNoteOn, key, 100)
	}
	p.hand.Push(live.Now(), engine.KindControl, 1, 90)
	await(t, "a chord has sounded for a while", func() bool { return len(p.rendered())/2 > 7*testRateHz })
	taken, err := p.trail.Take(p.marks)
	if err == nil {
		err = taken.Reserve(p.marks.Dir)
	}
	if err == nil {
		_, err = taken.Keep(p.marks.Dir, mark.Row{Remark: "by the slip"})
	}
	if err != nil {
		t.Fatal(err)
	}
	await(t, "the chord sounds on", func() bool { return len(p.rendered())/2 > int(taken.Frame)+3*testRateHz })
	conn, err := p.dial(t, p.key(t))
	if err != nil {
		t.Fatal(err)
	}
	go drain(conn)
	for _, leadSec := range []int{2, 30} {
		p.mu.Lock()
		p.asked = nil
		p.mu.Unlock()
		say(t, conn, map[string]any{"do": "hearmark", "mark": taken.Number, "leadSec": leadSec})
		var asked []float32
		await(t, "the mark sounds", func() bool {
			p.mu.Lock()
			defer p.mu.Unlock()
			asked = p.asked
			return asked != nil
		})
		from := max(int(taken.Frame)-leadSec*testRateHz, int(taken.Begin.Frame))
		// The ceiling's latency is taken off; what was played before the output had risen was softer.
		begin := max(from, int(fadedInSec*testRateHz))
		worst := 0.0
		for i := begin; i < int(taken.Frame)+2*testRateHz; i++ {
			again, was := asked[2*(i-from)], p.rendered()[2*(i+p.engine.LatencyFrames())]
			worst = max(worst, math.Abs(float64(again-was)))
		}
		db := sound.AmplitudeDB(worst)
		t.Logf("from %d s before: differs by %.0f dBFS over %.1f s", leadSec, db,
			float64(int(taken.Frame)+2*testRateHz-begin)/testRateHz)
		if db > -100 {
			t.Errorf("it differs from what was rendered by %.1f dBFS", db)
		}
	}
	say(t, conn, map[string]any{"do": "hearmark", "mark": 99, "leadSec": 5})
	await(t, "nobody waits", func() bool { return p.Visitors() == 1 })
}

// A key that is pressed on the page sounds: its note is in what was rendered within a cell of where the engine took it
// and what the ceiling looks ahead. How long it took from the finger, beside one turn of the network, is told.
func TestFromTheFingerToTheSound(t *testing.T) {
	v := play(t, newProject(t)).open(t)
	conn, err := v.dial(t, v.key(t))
	if err != nil {
		t.Fatal(err)
	}
	conn.SetReadLimit(1 << 20)
	const presses, blockMS = 20, 1000 * float64(testBlock) / testRateHz
	var late, turns []float64
	for range presses {
		turns = append(turns, turnMS(t, conn))
		v.struck(0) // forgets what was struck before
		pressedMS := v.number(`(() => { const now = performance.timeOrigin + performance.now();
			document.dispatchEvent(new KeyboardEvent("keydown", { code: "KeyN", bubbles: true })); return now; })()`)
		var frame int64
		await(t, "the engine is struck", func() bool { return v.strike(&frame) })
		v.evaluate(`document.dispatchEvent(new KeyboardEvent("keyup", { code: "KeyN", bubbles: true }))`)
		at := int(frame) + v.engine.LatencyFrames()
		await(t, "it is rendered", func() bool { return len(v.rendered())/2 > at+testRateHz/10 })
		out, first := v.rendered(), at
		for first < at+testRateHz/10 && out[2*first] == 0 {
			first++
		}
		if first > at+engine.CellFrames {
			t.Errorf("struck at frame %d, and heard %d frames later than that leaves the engine", frame, first-at)
		}
		late = append(late, v.beganMS+blockMS*float64(first/testBlock)-pressedMS)
		await(t, "the note has gone", func() bool { return v.engine.Stats().Voices == 0 })
	}
	slices.Sort(late)
	slices.Sort(turns)
	t.Logf("from the finger to the sound: median %.1f ms; a turn of the network %.1f ms, two blocks %.1f ms",
		late[presses/2], turns[presses/2], 2*blockMS)
}

// number is what a script says, as a number.
func (v *visited) number(script string) (x float64) {
	v.Helper()
	if _, err := fmt.Sscan(v.evaluate(script), &x); err != nil {
		v.Fatal(err)
	}
	return x
}

// strike finds the frame of the next strike that was applied; false while there is none.
func (v *visited) strike(frame *int64) bool {
	for {
		event, some := v.applied.Peek()
		if !some {
			return false
		}
		v.applied.Pop()
		if event.Kind() == engine.KindNoteOn && event.Data2 > 0 {
			*frame = event.Frame
			return true
		}
	}
}

// turnMS is how long a question takes to be answered.
func turnMS(t *testing.T, conn *websocket.Conn) float64 {
	t.Helper()
	began := time.Now()
	say(t, conn, map[string]any{"do": "where", "take": ""})
	for {
		_, body, err := conn.Read(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		if strings.HasPrefix(string(body), `{"told":"where"`) {
			return float64(time.Since(began).Microseconds()) / 1000
		}
	}
}
