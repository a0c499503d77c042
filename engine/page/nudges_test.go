// Zones nudged on the page, in Chromium.

package page

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/coder/websocket"

	"lapstrake/engine"
	"lapstrake/engine/live"
	"lapstrake/mapping"
)

// set moves a slider of the page and lets go of it.
func (v *visited) set(label string, value float64) {
	v.Helper()
	v.evaluate(fmt.Sprintf(`((i) => { i.value = %v; i.dispatchEvent(new Event("input")); i.dispatchEvent(new Event("change")); })(`+
		`document.querySelector('[aria-label="%s"]'))`, value, label))
}

// press presses a button within a part of the page.
func (v *visited) press(part, title string) {
	v.Helper()
	v.evaluate(fmt.Sprintf(`[...document.querySelectorAll(%q)].find((b) => b.textContent === %q).click()`, part+" button",
		title))
}

func (v *visited) text(selector string) string {
	v.Helper()
	return v.evaluate(fmt.Sprintf("document.querySelector(%q).textContent", selector))
}

// What is nudged on the page plays at once and stands in the file only when it is kept; it is taken back step by step;
// an edit from elsewhere is told and stays.
func TestZonesAreNudgedOnThePage(t *testing.T) {
	path := newProject(t)
	v := play(t, path).open(t)
	before, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	v.do(chromedp.Click(chromedp.CSS(`.nudges summary`)), chromedp.SetValue(chromedp.CSS(`.nudges select`), "1"))
	v.evaluate(`document.querySelector(".nudges select").dispatchEvent(new Event("change"))`)
	was := v.engine.Map().Zones[1].Nudge()
	zone := func() mapping.Nudge { return v.engine.Map().Zones[1].Nudge() }
	v.set("Zone level", -4.5)
	await(t, "the level", func() bool { return zone().LevelDB == -4.5 })
	v.set("Zone tuning", 12)
	v.set("Zone start", 0.25)
	await(t, "tuning and start", func() bool { return zone() == mapping.Nudge{Start: 0.25, LevelDB: -4.5, TuneCents: 12} })
	v.press(".nudges", "Zone silent")
	await(t, "silence", func() bool { return zone().Silent })
	await(t, "the page says what is tried", func() bool {
		return strings.HasPrefix(v.text(".nudges .where"), "1 zone is tried") &&
			strings.HasSuffix(v.text(".nudges option:checked"), ", tried")
	})
	v.press(".nudges", "Take back")
	await(t, "no silence", func() bool { return !zone().Silent && zone().TuneCents == 12 })
	if now, _ := os.ReadFile(path); string(now) != string(before) {
		t.Fatal("the file was written before anybody said keep")
	}
	v.press(".nudges", "Keep in map.toml")
	await(t, "kept", func() bool {
		m, err := mapping.Load(path)
		return err == nil && m.Zones[1].Nudge() == zone()
	})
	await(t, "the page says so", func() bool { return v.text("#said") == "1 zone kept in map.toml" })
	for zone() != was {
		now := zone()
		v.press(".nudges", "Take back")
		await(t, "one step back", func() bool { return zone() != now })
	}
	after, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	edited := strings.Replace(string(after), "level_db = -4.5", "level_db = -6.0 # by ear", 1)
	if err := os.WriteFile(path, []byte(edited), 0o666); err != nil { // nobody follows the file in this test
		t.Fatal(err)
	}
	v.press(".nudges", "Keep in map.toml")
	await(t, "the edit is told", func() bool { return strings.Contains(v.text(".nudges .where"), "was changed meanwhile") })
	if now, _ := os.ReadFile(path); string(now) != edited {
		t.Error("the edit from elsewhere was overwritten")
	}
}

// While a zone is nudged back and forth on the page at random, what the page shows of it is what plays, and a held
// chord sounds on.
func TestThePageShowsWhatIsNudged(t *testing.T) {
	v := play(t, newProject(t)).open(t)
	for _, key := range []byte{50, 57} {
		v.hand.Push(live.Now(), engine.KindNoteOn, key, 100)
	}
	await(t, "both keys sound", func() bool { return len(v.held()) == 2 })
	for i := range 30 {
		level := math.Round(24*math.Sin(float64(i))) / 2
		v.set("Zone level", level)
		if i%3 == 0 {
			v.press(".nudges", "Take back")
		}
	}
	await(t, "page and engine agree", func() bool {
		at := v.evaluate(`document.querySelector(".nudges select").value`)
		var zone int
		fmt.Sscan(at, &zone)
		level := v.engine.Map().Zones[zone].LevelDB
		return v.evaluate(`document.querySelector('[aria-label="Zone level"]').value`) == fmt.Sprint(level)
	})
	if got := fmt.Sprint(v.held()); got != "[50 57]" || v.engine.Stats().Stolen != 0 {
		t.Errorf("held %s, %d cut short", got, v.engine.Stats().Stolen)
	}
}

// A take that cannot be told apart, since no build made its bed, is told with the reason; a bed that the map does not
// have is no message.
func TestWhatCannotBeToldApart(t *testing.T) {
	p := play(t, newProject(t))
	v := p.open(t)
	bed := filepath.ToSlash(p.engine.Map().BedPaths()[0])
	conn, err := p.dial(t, p.key(t))
	if err != nil {
		t.Fatal(err)
	}
	go drain(conn)
	say(t, conn, map[string]any{"do": "apart", "take": "tom/saw.wav", "bed": bed, "how": "alone", "matched": true})
	await(t, "the page says why", func() bool {
		return strings.Contains(v.evaluate(`document.querySelector(".aparts")?.textContent`), "is not as the last build laid it")
	})
	say(t, conn, map[string]any{"do": "all"})
	await(t, "it is forgotten", func() bool { return v.evaluate(`document.querySelector(".aparts").textContent`) == "" })
}

// say sends a message as the page does.
func say(t *testing.T, conn *websocket.Conn, message map[string]any) {
	t.Helper()
	if err := conn.Write(t.Context(), websocket.MessageText, encoded(message)); err != nil {
		t.Fatal(err)
	}
}
