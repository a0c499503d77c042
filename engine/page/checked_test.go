// The view of what check found: it is run from there, its findings are played, and it knows when they are old.

package page

import (
	"context"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"lapstrake/engine"
	"lapstrake/engine/check"
	"lapstrake/engine/stream"
	"lapstrake/engine/testbrowser"
	"lapstrake/mapping"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes/decode"
	"lapstrake/mapping/wav"
)

// withFaults is a project in which the zone of root 60 is too loud, and one where a bed is silent while the next
// one fades in.
func withFaults(t testing.TB) (path string) {
	t.Helper()
	path = newProject(t)
	m, err := mapping.Load(path)
	if err != nil {
		t.Fatal(err)
	}
	for _, zone := range m.Zones {
		for _, beds := range zone.Beds {
			for i, bed := range beds {
				gain, sounds := 1.0, 1.0
				if zone.Root == 60 {
					gain = 2.5
				}
				if zone.Root == 66 && i == 0 {
					sounds = 0.84
				}
				changeBed(t, filepath.Join(filepath.Dir(path), bed), gain, sounds)
			}
		}
	}
	return path
}

// changeBed makes a bed louder, and silent behind a part of it.
func changeBed(t testing.TB, path string, gain, sounds float64) {
	t.Helper()
	was, err := decode.File(path)
	if err != nil {
		t.Fatal(err)
	}
	bed := make([]float32, 2*was.Frames())
	for i := range int(sounds * float64(was.Frames())) {
		bed[2*i], bed[2*i+1] = float32(gain)*was.Channels[0][i], float32(gain)*was.Channels[1][i]
	}
	w, err := wav.Create(path, testRateHz, 2, wav.PCM16)
	if err != nil {
		t.Fatal(err)
	}
	defer w.Discard()
	if err := w.WriteFrames(bed); err != nil {
		t.Fatal(err)
	}
	if err := w.Commit(); err != nil {
		t.Fatal(err)
	}
}

// someChecks runs a few of the checks on a map, and keeps what they find.
func someChecks(path string) func(context.Context, func(int)) error {
	return func(ctx context.Context, tell func(percent int)) error {
		dir := filepath.Dir(path)
		settings, err := project.Load(dir)
		if err != nil {
			return err
		}
		m, err := mapping.Load(path)
		if err != nil {
			return err
		}
		cycles, err := stream.OpenCycles(m, dir, stream.Reduction{})
		if err != nil {
			return err
		}
		defer cycles.Close()
		report, err := check.Run(ctx, check.Input{MapPath: path, Cycles: cycles, Settings: settings,
			Parts: []string{"seams", "joins"}}, func(_ string, part float64) { tell(int(100 * part)) })
		if err == nil {
			check.KeepReport(dir, report)
		}
		return err
	}
}

// awaitShown waits until the checks have run, which takes a while on a busy machine.
func (v *visited) awaitShown(dir string) *check.Shown {
	v.Helper()
	for began := time.Now(); time.Since(began) < 90*time.Second; time.Sleep(50 * time.Millisecond) {
		if _, shown, err := check.LastShown(dir); err == nil {
			return shown
		}
	}
	v.Fatal("the checks have not run")
	return nil
}

func (v *visited) textOf(selector string) string {
	return v.evaluate("document.querySelector('" + selector + "')?.textContent")
}

// choose chooses the first finding whose words have a text in them.
func (v *visited) choose(words string) {
	v.Helper()
	v.do(chromedp.Focus(chromedp.CSS(".checked .list")), chromedp.KeyEvent(kb.Home))
	for range 40 {
		if strings.Contains(v.textOf(".checked .card h3"), words) {
			return
		}
		v.do(chromedp.KeyEvent(kb.ArrowDown))
	}
	v.Fatalf("no finding says %q", words)
}

// strikes lists the keys that were struck since they were last asked for, and the last value of the dynamics.
func (v *visited) strikes() (keys []int, dynamics int) {
	for event, some := v.applied.Peek(); some; event, some = v.applied.Peek() {
		v.applied.Pop()
		switch {
		case event.Kind() == engine.KindNoteOn && event.Data2 > 0:
			keys = append(keys, int(event.Data1))
		case event.Kind() == engine.KindControl && event.Data1 == 1:
			dynamics = int(event.Data2)
		}
	}
	return keys, dynamics
}

func TestFindingsAreShownAndPlayed(t *testing.T) {
	path := withFaults(t)
	v := play(t, path).open(t)
	v.evaluate("location.hash = '#checked'")
	await(t, "nothing was checked", func() bool {
		return strings.Contains(v.textOf(".verdict-line"), "not been checked yet")
	})
	v.do(chromedp.Click(chromedp.CSS(".standing button")))
	shown := v.awaitShown(filepath.Dir(path))
	await(t, "findings are listed", func() bool {
		return v.evaluate("document.querySelectorAll('.finding').length") != "0"
	})

	// The keys of a seam, one after the other, at the dynamics of the finding; then these are where they were.
	v.choose("louder by")
	id := v.evaluate("document.querySelector('.finding[aria-selected=true]').dataset.name")
	scenes := shown.Sounds[id].Scenes
	if len(scenes) != 2 {
		t.Fatalf("%s is heard as %+v", id, scenes)
	}
	before := int(127*v.engine.Stats().Dynamics + 0.5)
	v.strikes()
	v.do(chromedp.KeyEvent(" "))
	var keys []int
	last := 0
	await(t, "both keys were struck, and let go", func() bool {
		more, dynamics := v.strikes()
		keys = append(keys, more...)
		if dynamics != 0 {
			last = dynamics
		}
		return len(keys) == 2 && len(v.held()) == 0 && last == before
	})
	if keys[0] != scenes[0].Keys[0] || keys[1] != scenes[1].Keys[0] {
		t.Errorf("%v were struck, want %v and %v", keys, scenes[0].Keys, scenes[1].Keys)
	}
	if v.player.IsDry() {
		t.Error("keys sound in place of the music")
	}

	// One key stops it.
	v.do(chromedp.KeyEvent(" "))
	await(t, "a key sounds", func() bool { return len(v.held()) == 1 })
	v.do(chromedp.KeyEvent(kb.Escape))
	await(t, "nothing sounds", func() bool { return len(v.held()) == 0 })

	// A join is heard in place of the music, until it is stopped.
	v.choose("follows")
	v.do(chromedp.KeyEvent(" "))
	await(t, "the join sounds", v.player.IsDry)
	v.do(chromedp.KeyEvent(kb.Escape))
	await(t, "the music is back", func() bool { return !v.player.IsDry() })
	if keys, _ := v.strikes(); len(keys) > 1 {
		t.Errorf("%v were struck meanwhile", keys)
	}

	for _, width := range []int64{360, 1280, 2560} {
		for _, dark := range []bool{false, true} {
			v.do(testbrowser.Look(width, dark))
			for _, short := range testbrowser.Shortfalls(t, v.tab) {
				t.Errorf("%d px, dark %v: %s", width, dark, short)
			}
		}
	}

	// A bed that is another one now makes all of it old.
	changeBed(t, filepath.Join(filepath.Dir(path), v.engine.Map().BedPaths()[0]), 0.5, 1)
	await(t, "the findings are old", func() bool {
		return strings.Contains(v.textOf(".checked-state"), "older build: 1 bed has")
	})
}
