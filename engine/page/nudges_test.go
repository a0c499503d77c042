// Zones nudged on the page, in Chromium.

package page

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/coder/websocket"

	"lapstrake/engine"
	"lapstrake/engine/live"
	"lapstrake/mapping"
	"lapstrake/mapping/beds"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
	"lapstrake/mapping/testsound"
)

// set moves a slider of the page and lets go of it.
func (v *visited) set(label string, value float64) {
	v.Helper()
	v.evaluate(fmt.Sprintf(`((i) => { i.value = %v;
		for (const kind of ["input", "change"]) i.dispatchEvent(new Event(kind)); })(`+
		`document.querySelector('[aria-label="%s"]'))`, value, label))
}

// press presses a button within a part of the page.
func (v *visited) press(part, title string) {
	v.Helper()
	v.evaluate(fmt.Sprintf(`[...document.querySelectorAll(%q)].find((b) => b.textContent === %q).click()`,
		part+" button", title))
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
	want := mapping.Nudge{Start: 0.25, LevelDB: -4.5, TuneCents: 12}
	await(t, "tuning and start", func() bool { return zone() == want })
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
	await(t, "the edit is told", func() bool {
		return strings.Contains(v.text(".nudges .where"), "was changed meanwhile")
	})
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
		said := v.evaluate(`document.querySelector(".aparts")?.textContent`)
		return strings.Contains(said, "is not as the last build laid it")
	})
	say(t, conn, map[string]any{"do": "all"})
	await(t, "it is forgotten", func() bool {
		return v.evaluate(
			`document.querySelector(".aparts").textContent`) == ""
	})
}

// A take of a bed that a build laid is told apart on the page while a key is down, and the bed sounds whole again
// when somebody says so.
func TestATakeIsToldApartUnderTheHands(t *testing.T) {
	path := builtProject(t)
	v := play(t, path).open(t)
	v.hand.Push(live.Now(), engine.KindNoteOn, 66, 100)
	await(t, "the key sounds", func() bool { return fmt.Sprint(v.held()) == "[66]" })
	bed := v.engine.Map().BedPaths()[0]
	await(t, "the take is heard", func() bool {
		return v.evaluate(`document.querySelectorAll(".names button").length`) != "0"
	})
	v.evaluate(`document.querySelector(".names button").click()`)
	await(t, "its beds are offered", func() bool {
		offered := v.evaluate(`[...document.querySelector(".apart select").options].map((o) => o.value).join()`)
		return strings.Contains(offered, bed)
	})
	v.evaluate(fmt.Sprintf(`document.querySelector(".apart select").value = %q`, bed))
	for _, how := range []string{"alone", "others down", "silent"} {
		v.press(".apart", how)
		await(t, "the bed is replaced and the page says how loud", func() bool {
			return slices.Equal(v.engine.Replaced(), []string{bed}) &&
				strings.Contains(v.text(".aparts"), "as loud as the bed") &&
				v.evaluate(`document.querySelector(".apart [aria-pressed=true]").textContent`) == how
		})
	}
	if got := fmt.Sprint(v.held()); got != "[66]" {
		t.Errorf("held %s", got)
	}
	v.press(".aparts", "whole again")
	await(t, "the bed is whole", func() bool { return len(v.engine.Replaced()) == 0 && v.text(".aparts") == "" })
	v.press(".apart", "alone")
	await(t, "alone, and the page has been told", func() bool {
		return len(v.engine.Replaced()) == 1 && strings.Contains(v.text(".aparts"), "as loud as the bed")
	})
	v.press(".closer", "All sound")
	await(t, "all sound", func() bool { return len(v.engine.Replaced()) == 0 })
}

// builtProject is a project of two recordings whose beds were built.
func builtProject(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	for _, name := range []string{"flute/A4.mp3", "bassoon/C4.mp3"} {
		data, err := os.ReadFile(filepath.Join(testsound.Recordings(), filepath.FromSlash(name)))
		if err != nil {
			t.Fatal(err)
		}
		take := filepath.Join(dir, project.TakesFolder, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(take), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(take, data, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	settings := project.Default()
	settings.Project.RateHz, settings.Project.Layers, settings.Project.Title = testRateHz, []string{"soft"}, "Slipway"
	settings.Beds.LengthSec, settings.Beds.OverlapSec = 3, 0.25
	settings.Grid.Ranks, settings.Grid.LowestKey, settings.Grid.HighestKey = 1, 61, 72
	err := settings.Save(dir)
	if err == nil {
		_, err = takes.Intake(t.Context(), dir, takes.IntakeOptions{SheetOptions: takes.OptionsOf(&settings)})
	}
	if err == nil {
		_, err = beds.Build(t.Context(), dir, beds.BuildOptions{})
	}
	if err != nil {
		t.Fatal(err)
	}
	return filepath.Join(dir, mapping.FileName)
}

// say sends a message as the page does.
func say(t *testing.T, conn *websocket.Conn, message map[string]any) {
	t.Helper()
	if err := conn.Write(t.Context(), websocket.MessageText, encoded(message)); err != nil {
		t.Fatal(err)
	}
}
