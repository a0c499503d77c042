// The page that an export holds, as somebody uses it in Chromium.

//go:build linux && cgo

package main

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"path/filepath"
	"testing"
	"time"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"

	"lapstrake/engine"
	"lapstrake/engine/audible"
	"lapstrake/engine/stream"
	"lapstrake/engine/testbrowser"
	"lapstrake/mapping"
)

// exportedPage is the page of the shared small demo.
func exportedPage(t *testing.T) (yard, page string) {
	t.Helper()
	yard, err := smallYard()
	if err != nil {
		t.Fatal(err)
	}
	out, err := shared("page", func(path string) error {
		runs(t, "export", yard, "-o", path, "--parts", "page")
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return yard, filepath.Join(out, "page", "index.html")
}

// Opened by a double click, the page names who sounds when a letter is pressed, begins at a low level, has what readers
// need at every width, fetches nothing from elsewhere, and asks for MIDI on a click alone.
func TestPageIsUsed(t *testing.T) {
	t.Parallel()
	_, page := exportedPage(t)
	tab := testbrowser.Open(t)
	outside := testbrowser.Outside(t, tab, "file://"+filepath.Dir(page))
	err := chromedp.Do(tab, testbrowser.Look(360, false), chromedp.Navigate("file://"+page),
		chromedp.Evaluate[chromedp.Void](`navigator.requestMIDIAccess = () => {
			window.asked = true;
			return Promise.resolve({ inputs: new Map([["a", { name: "Spinet" }]]) });
		}`))
	if err != nil {
		t.Fatal(err)
	}
	press(t, tab, input.DispatchKeyEventTypeKeyDown)
	comes(t, tab, "a name that is heard", `document.querySelectorAll(".names li").length > 0`)
	comes(t, tab, "all sounds", `document.getElementById("state").textContent === ""`)
	for _, width := range []int64{360, 800, 1440, 3840} {
		for _, dark := range []bool{false, true} {
			if err := chromedp.Do(tab, testbrowser.Look(width, dark)); err != nil {
				t.Fatal(err)
			}
			for _, line := range testbrowser.Shortfalls(t, tab) {
				t.Errorf("%d px wide, dark %v: %s", width, dark, line)
			}
		}
	}
	press(t, tab, input.DispatchKeyEventTypeKeyUp)
	comes(t, tab, "a low level",
		`document.getElementById("caution").textContent.startsWith("The output stands at −20 dB.")`)
	comes(t, tab, "silence", `document.querySelector(".middle").textContent === "Nothing sounds"`)
	comes(t, tab, "no question for MIDI yet", `window.asked === undefined`)
	click := chromedp.Evaluate[chromedp.Void](`document.querySelector("#midi button").click()`)
	if err := chromedp.Do(tab, click); err != nil {
		t.Fatal(err)
	}
	comes(t, tab, "the keyboard's name", `document.getElementById("midi").textContent.includes("Spinet")`)
	if asked := outside(); len(asked) > 0 {
		t.Errorf("the page asked for %q", asked)
	}
}

// press presses or lifts the letter that plays C in the middle, by hand as the browser sees it.
func press(t *testing.T, tab context.Context, how input.DispatchKeyEventType) {
	t.Helper()
	_, err := chromedp.Call(tab, input.DispatchKeyEvent, input.DispatchKeyEventParams{Type: how, Code: "KeyQ", Key: "q"})
	if err != nil {
		t.Fatal(err)
	}
}

// comes waits until an expression is true.
func comes(t *testing.T, tab context.Context, what, expression string) {
	t.Helper()
	for end := time.Now().Add(time.Minute); ; time.Sleep(50 * time.Millisecond) {
		is, err := chromedp.Run(tab, chromedp.Evaluate[bool](expression))
		if err != nil {
			t.Fatal(err)
		}
		if is {
			return
		}
		if time.Now().After(end) {
			t.Fatalf("there is not: %s", what)
		}
	}
}

// Whoever the player names at a moment, the page names too, as loud and as far out.
func TestPageNamesWhomThePlayerNames(t *testing.T) {
	t.Parallel()
	yard, page := exportedPage(t)
	m, err := mapping.Load(filepath.Join(yard, mapping.FileName))
	if err != nil {
		t.Fatal(err)
	}
	cycles, err := stream.OpenCycles(m, yard, stream.Reduction{})
	if err != nil {
		t.Fatal(err)
	}
	defer cycles.Close()
	ledger, err := audible.Read(yard, cycles)
	if err != nil {
		t.Fatal(err)
	}
	tab := testbrowser.Open(t)
	if err := chromedp.Do(tab, chromedp.Navigate("file://"+page)); err != nil {
		t.Fatal(err)
	}
	named := 0
	for moment := range 12 {
		var sounding []engine.SoundingCycle
		var playing []map[string]any
		for n, key := range []int{50, 57, 62}[:1+moment%3] {
			for _, z := range m.ZonesAt(key) {
				for layer := range m.Layers {
					cycle := cycles.Cycle(z, layer)
					turns := math.Mod(0.137*float64(moment)+0.31*float64(n+z), 1)
					shift := m.ShiftSemitones(&m.Zones[z], key)
					gain := 0.1 * float64(1+layer+n)
					sounding = append(sounding, engine.SoundingCycle{Key: key, Zone: z, Layer: layer, Gain: float32(gain),
						AtFrame: int64(turns * float64(cycle.Frames)), CycleFrames: cycle.Frames, Step: cycle.Step(shift, m.RateHz)})
					playing = append(playing, map[string]any{"key": key, "zone": z, "layer": layer, "turns": turns,
						"ratio": math.Exp2(shift / 12), "power": gain * gain})
				}
			}
		}
		type one struct {
			Name        string
			ByDB, Sones float64
		}
		want := map[string]one{}
		for _, take := range ledger.Now(sounding) {
			w := want[take.Name]
			want[take.Name] = one{take.Name, max(w.ByDB, take.ByDB), w.Sones + take.Sones}
		}
		text, err := json.Marshal(playing)
		if err != nil {
			t.Fatal(err)
		}
		comes(t, tab, "knowledge of who is where", fmt.Sprintf(`lapstrake.standOut(%s).length > 0`, text))
		got, err := chromedp.Run(tab, chromedp.Evaluate[[]one](fmt.Sprintf(`lapstrake.standOut(%s)`, text)))
		if err != nil {
			t.Fatal(err)
		}
		for _, g := range got {
			w := want[g.Name]
			if math.Abs(g.ByDB-w.ByDB) > 0.05 || math.Abs(g.Sones-w.Sones) > 0.01*w.Sones {
				t.Errorf("moment %d: the page names %+v, the player %+v", moment, g, w)
			}
		}
		if len(got) != len(want) {
			t.Errorf("moment %d: the page names %d takes, the player %d", moment, len(got), len(want))
		}
		named += len(got)
	}
	t.Logf("%d takes named", named)
}

// Where a browser gives the page no audio thread, the player runs beside the page and plays the same.
func TestPagePlaysBesideToo(t *testing.T) {
	t.Parallel()
	_, page := exportedPage(t)
	tab := testbrowser.Open(t)
	if err := chromedp.Do(tab, chromedp.Navigate("file://"+page)); err != nil {
		t.Fatal(err)
	}
	const play = `lapstrake.perform([{ frame: 0, midi: [0x90, 57, 100] }], 48000, 48000)`
	away, err := chromedp.Run(tab, chromedp.Evaluate[[]float64](`(async () => {
		const thread = (await `+play+`).getChannelData(0);
		AudioWorklet.prototype.addModule = () => Promise.reject(new Error("no thread"));
		const beside = (await `+play+`).getChannelData(0);
		const from = beside.findIndex((x) => x !== 0) - thread.findIndex((x) => x !== 0);
		let [most, power] = [0, 0];
		for (let i = 0; i + from < 48000; i++) {
			most = Math.max(most, Math.abs(beside[i + from] - thread[i]));
			power += thread[i] ** 2;
		}
		return [most, power];
	})()`, chromedp.EvalAwaitPromise))
	if err != nil {
		t.Fatal(err)
	}
	if away[0] > 0 || away[1] == 0 {
		t.Errorf("beside the page it plays otherwise: %v away, power %v", away[0], away[1])
	}
}
