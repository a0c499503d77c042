// The page in Chromium: what is done on it is heard, and what it shows is so.

package page

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"

	"lapstrake/engine"
	"lapstrake/engine/live"
	"lapstrake/engine/testbrowser"
)

// visited is a page that lies open in a browser.
type visited struct {
	*played
	testing.TB
	tab context.Context
}

// title is that of the project.
const title = "Slipway"

// open opens the page of a player; an error of its scripts fails the test.
func (p *played) open(t testing.TB) *visited {
	t.Helper()
	tab := testbrowser.Open(t)
	if err := chromedp.Listen(tab, func(event any) {
		if thrown, is := event.(*runtime.EventExceptionThrown); is {
			details, _ := json.Marshal(thrown.ExceptionDetails)
			t.Errorf("the page: %s", details)
		}
	}); err != nil {
		t.Fatal(err)
	}
	v := &visited{p, t, tab}
	v.do(testbrowser.Look(1280, false), chromedp.Navigate(p.URL()))
	await(t, "the page knows the map", func() bool {
		return v.evaluate("document.querySelector('#title').textContent") == title
	})
	return v
}

func (v *visited) do(steps ...chromedp.Action[chromedp.Void]) {
	v.Helper()
	if err := chromedp.Do(v.tab, steps...); err != nil {
		v.Fatal(err)
	}
}

// evaluate is what a script says, as text.
func (v *visited) evaluate(script string) string {
	v.Helper()
	text, err := chromedp.Run(v.tab, chromedp.Evaluate[string]("String("+script+")"))
	if err != nil {
		v.Fatal(err)
	}
	return text
}

// at is a point of a white key on the keyboard, near its front.
func (v *visited) at(key int) (x, y float64) {
	v.Helper()
	black := func(key int) bool { return slices.Contains([]int{1, 3, 6, 8, 10}, key%12) }
	m := v.engine.Map()
	low, high := 127, 0
	for _, zone := range m.Zones {
		low, high = min(low, zone.Low), max(high, zone.High)
	}
	if black(low) {
		low--
	}
	if black(high) {
		high++
	}
	whites, before := 0, 0
	for k := low; k <= high; k++ {
		if !black(k) {
			whites++
			if k < key {
				before++
			}
		}
	}
	v.evaluate("document.querySelector('.keys canvas').scrollIntoView({block: 'center'})")
	var box struct{ X, Y, Width, Height float64 }
	edges := v.evaluate("JSON.stringify(document.querySelector('.keys canvas').getBoundingClientRect())")
	if err := json.Unmarshal([]byte(edges), &box); err != nil {
		v.Fatal(err)
	}
	return box.X + box.Width*(float64(before)+0.5)/float64(whites), box.Y + 0.9*box.Height
}

// shown is the state that the page shows.
type shown struct {
	Keys                           []string
	Hold, Sostenuto, Latch         bool
	Dynamics, Volume, Output, Bend float64
}

const readShown = `JSON.stringify({
	Keys: [...document.querySelectorAll(".courses tbody tr")]
		.filter((row) => row.cells[0].textContent && row.cells[5].textContent.includes("dB"))
		.map((row) => row.cells[0].textContent),
	...Object.fromEntries([...document.querySelectorAll(".buttons [aria-pressed]")]
		.filter((b) => b.textContent !== "Letters play")
		.map((b) => [b.textContent, b.getAttribute("aria-pressed") === "true"])),
	...Object.fromEntries([...document.querySelectorAll(".hand input")]
		.map((i) => [i.getAttribute("aria-label").split(",")[0], Number(i.value)])),
})`

// agrees says whether the page shows how things stand in the engine.
func (v *visited) agrees() (bool, string) {
	var on shown
	text := v.evaluate(readShown)
	if err := json.Unmarshal([]byte(text), &on); err != nil {
		v.Fatal(err)
	}
	m := v.engine.Map()
	c, stats := v.engine.Controllers(), v.engine.Stats()
	v.mu.Lock()
	outputDB := v.outputDB
	v.mu.Unlock()
	is := shown{Hold: c.Hold, Sostenuto: c.Sostenuto, Latch: v.player.Latch.On(),
		Dynamics: math.Round(127 * stats.Dynamics), Volume: float64(stats.Volume), Output: outputDB,
		Bend: 8192 + 8192*c.BendTurned, Keys: []string{}}
	for _, key := range v.held() {
		is.Keys = append(is.Keys, m.MiddleC.Name(key))
	}
	for i := range on.Keys {
		on.Keys[i] = strings.ReplaceAll(on.Keys[i], "♯", "#")
	}
	bendOff := math.Abs(on.Bend - is.Bend)
	on.Bend, is.Bend = 0, 0
	said := fmt.Sprintf("page %+v, engine %+v, bends apart %v", on, is, bendOff)
	return bendOff <= 64 && fmt.Sprintf("%+v", on) == fmt.Sprintf("%+v", is), said
}

// awaitAgreement waits until the page shows how things stand.
func (v *visited) awaitAgreement() {
	v.Helper()
	said := ""
	for began := time.Now(); time.Since(began) < 10*time.Second; time.Sleep(20 * time.Millisecond) {
		var agree bool
		if agree, said = v.agrees(); agree {
			return
		}
	}
	v.Fatal(said)
}

// struck says whether the engine was struck a key since it was last asked for any.
func (v *visited) struck(key byte) bool {
	for {
		event, some := v.applied.Peek()
		if !some {
			return false
		}
		v.applied.Pop()
		if event.Kind() == engine.KindNoteOn && event.Data1 == key && event.Data2 > 0 {
			return true
		}
	}
}

func TestKeysOfThePageAreHeard(t *testing.T) {
	v := play(t, newProject(t)).open(t)
	x, y := v.at(60)
	before := v.player.LargestDBFS()
	v.do(chromedp.MouseEvent(chromedp.MousePressed, x, y, chromedp.ButtonLeft))
	await(t, "key 60 sounds", func() bool { return fmt.Sprint(v.held()) == "[60]" })
	await(t, "and is heard", func() bool { return v.player.LargestDBFS() > max(before, -60) })
	x, y = v.at(62)
	v.do(chromedp.MouseEvent(chromedp.MouseMoved, x, y, chromedp.ButtonLeft))
	await(t, "the finger has glided to key 62", func() bool { return fmt.Sprint(v.held()) == "[62]" })
	v.do(chromedp.MouseEvent(chromedp.MouseReleased, x, y, chromedp.ButtonLeft))
	await(t, "all keys are up", func() bool { return len(v.held()) == 0 })
	v.do(chromedp.KeyEvent("z")) // down and up: the letter strikes C3
	await(t, "the letter was struck", func() bool { return v.struck(48) })
	await(t, "all keys are up", func() bool { return len(v.held()) == 0 })
	// A tab that goes lets go of what it held.
	v.do(chromedp.MouseEvent(chromedp.MousePressed, x, y, chromedp.ButtonLeft))
	await(t, "key 62 sounds", func() bool { return fmt.Sprint(v.held()) == "[62]" })
	v.do(chromedp.Navigate("about:blank"))
	await(t, "the closed page holds nothing", func() bool { return len(v.held()) == 0 })
}

// What is chosen to be alone on the page is so in the engine, and what the engine is told elsewhere is marked on the
// page.
func TestListeningCloser(t *testing.T) {
	v := play(t, newProject(t)).open(t)
	press := func(title string) {
		v.press(".closer", title)
	}
	press("loud")
	await(t, "the loud layer is alone", func() bool { return v.engine.Alone(engine.FacetLayer, 1) })
	press("silent")
	press("F♯")
	await(t, "the second rank is silent", func() bool { return v.engine.Silent(engine.FacetRank, 1) })
	v.engine.SetSilent(engine.FacetStrand, 0, true)
	marked := func() string {
		return v.evaluate(`[...document.querySelectorAll(".closer [data-how]")].map((b) => b.dataset.how).join()`)
	}
	await(t, "all three are marked", func() bool { return marked() == ",alone,silent,,,silent" })
	press("All sound")
	await(t, "none is marked", func() bool { return marked() == ",,,,," })
	if v.engine.Alone(engine.FacetLayer, 1) || v.engine.Silent(engine.FacetRank, 1) {
		t.Error("not all sound")
	}
}

// A moment is marked with a remark, during which letters play nothing, and is listed.
func TestMomentsAreMarked(t *testing.T) {
	v := play(t, newProject(t)).open(t)
	v.do(chromedp.SendKeys(chromedp.CSS(".mark-form input"), "bell too near"),
		chromedp.Click(chromedp.CSS(".mark-form button")))
	await(t, "the mark is listed", func() bool {
		return strings.Contains(v.evaluate(`document.querySelector(".marks").textContent`), "1 bell too near · C4")
	})
	v.mu.Lock()
	defer v.mu.Unlock()
	if len(v.marked) != 1 || v.marked[0] != "bell too near" {
		t.Errorf("marked with %q", v.marked)
	}
	if events := v.engine.Stats().Events; events != 0 {
		t.Errorf("%d events were played while a remark was typed", events)
	}
}

// A hundred things done on the page and in the world, after each tenth of which page and engine agree.
func TestThePageShowsHowThingsStand(t *testing.T) {
	v := play(t, newProject(t)).open(t)
	random := rand.New(rand.NewPCG(15, 2))
	button := func(name string) func() {
		return func() {
			v.press(".buttons", name)
		}
	}
	slide := func(name string, low, high int) func() {
		return func() {
			v.evaluate(fmt.Sprintf(`((i) => { i.value = %d; i.dispatchEvent(new Event("input")); })(`+
				`document.querySelector('[aria-label^="%s"]'))`, low+random.IntN(high-low+1), name))
		}
	}
	world := func(kind byte, data1, data2 byte) func() {
		return func() { v.hand.Push(live.Now(), kind, data1, data2) }
	}
	key := func() int { return 48 + random.IntN(24) }
	click := func() {
		x, y := v.at([]int{48, 50, 52, 53, 55, 57, 59, 60, 62, 64}[random.IntN(10)])
		v.do(chromedp.MouseClickXY(x, y))
	}
	for i := range 100 {
		all := []func(){
			button("Hold"), button("Sostenuto"), button("Latch"), button("All sound off"), button("Strike again"),
			slide("Dynamics", 0, 127), slide("Volume", 0, 127), slide("Output", -40, 6), slide("Bend", 0, 16383),
			click, click, click, func() { v.do(chromedp.KeyEvent(string("zxcvbnmqwe"[random.IntN(10)]))) },
			world(engine.KindNoteOn, byte(key()), 90), world(engine.KindNoteOff, byte(key()), 64),
			world(engine.KindControl, 1, byte(random.IntN(128))), world(engine.KindControl, 7, byte(random.IntN(128))),
			world(engine.KindControl, engine.ControlHold, byte(random.IntN(128))),
			world(engine.KindBend, byte(random.IntN(128)), byte(random.IntN(128))),
		}
		all[random.IntN(len(all))]()
		if i%10 == 9 {
			v.awaitAgreement()
		}
	}
}

// Nothing is fetched from elsewhere, and readers of all kinds and on all windows are served.
func TestThePageIsForEverybody(t *testing.T) {
	p := play(t, newProject(t))
	v := p.open(t)
	outside := testbrowser.Outside(t, v.tab, "http://"+p.guard.address.String(), "ws://"+p.guard.address.String())
	v.do(chromedp.Reload())
	for _, key := range []byte{48, 55, 64} {
		p.hand.Push(live.Now(), engine.KindNoteOn, key, 100)
	}
	await(t, "the chord is listed", func() bool {
		return v.evaluate("document.querySelectorAll('.courses tbody "+
			"tr').length") == "6"
	})
	for _, width := range []int64{360, 800, 1280, 2560} {
		for _, dark := range []bool{false, true} {
			v.do(testbrowser.Look(width, dark))
			for _, short := range testbrowser.Shortfalls(t, v.tab) {
				t.Errorf("%d px, dark %v: %s", width, dark, short)
			}
		}
	}
	if got := outside(); len(got) > 0 {
		t.Errorf("fetched from elsewhere: %q", got)
	}
	// By keys alone: from the top to the keyboard, and a note.
	v.do(chromedp.Focus(chromedp.CSS(".keys canvas")), chromedp.KeyEvent(" "))
	await(t, "the chosen key was struck", func() bool { return v.struck(60) })
}
