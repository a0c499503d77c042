// Small pictures of takes: what they say of sounds that are known, and what they do not read.

package page

import (
	"fmt"
	"math"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"lapstrake/engine/testbrowser"
	"lapstrake/mapping/project"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes/decode"
	"lapstrake/mapping/wav"
)

// writeTake writes a take of a project: a sound of so many seconds as a function of time.
func writeTake(t testing.TB, dir, name string, sec float64, of func(atSec float64) float64) {
	t.Helper()
	path := filepath.Join(dir, project.TakesFolder, name)
	if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
		t.Fatal(err)
	}
	w, err := wav.Create(path, testRateHz, 1, wav.PCM24)
	if err != nil {
		t.Fatal(err)
	}
	defer w.Discard()
	out := make([]float32, int(sec*testRateHz))
	for i := range out {
		out[i] = float32(of(float64(i) / testRateHz))
	}
	if err := w.WriteFrames(out); err != nil {
		t.Fatal(err)
	}
	if err := w.Commit(); err != nil {
		t.Fatal(err)
	}
}

// A tone that steps down by 24 dB and up by three octaves half-way is drawn half as high there, in the band of its
// pitch.
func TestSketchesTellLevelAndSpectrum(t *testing.T) {
	path := newProject(t)
	dir := filepath.Dir(path)
	tone := func(hz, level, at float64) float64 { return level * math.Sin(2*math.Pi*hz*at) }
	writeTake(t, dir, "hob/bell.wav", 4, func(at float64) float64 {
		if at < 2 {
			return tone(300, 0.5, at)
		}
		return tone(2400, 0.5*math.Pow(10, -24./20), at)
	})
	p := play(t, path)
	for _, c := range []struct {
		span   decode.Span
		column int
		hz, db float64
	}{
		{decode.Span{}, 10, 300, 0}, {decode.Span{}, 50, 2400, -24},
		{decode.Span{FromSec: 2.5}, 10, 2400, 0}, // of the stretch alone
		{decode.Span{FromSec: 1.9, ToSec: 2.1}, 3, 300, 0}, {decode.Span{FromSec: 1.9, ToSec: 2.1}, 30, 2400, -24},
	} {
		picture, err := p.sketchOfTake(takeFile{"hob/bell.wav", c.span})
		if err != nil {
			t.Fatal(err)
		}
		columns, bands := int(picture[0]), int(picture[1])
		levels, spectrum := picture[2:2+columns], picture[2+columns:]
		if len(spectrum) != columns*bands {
			t.Fatalf("%v: %d bytes for %d columns of %d bands", c.span, len(picture), columns, bands)
		}
		if want := 255 * (1 + c.db/sketchLevelDB); math.Abs(float64(levels[c.column])-want) > 4 {
			t.Errorf("%v, column %d: level %d of 255, want %.0f", c.span, c.column, levels[c.column], want)
		}
		low := sound.ERBNumber(sketchLowHz)
		want := int((sound.ERBNumber(c.hz) - low) / (sound.ERBNumber(sketchHighHz) - low) * sketchBands)
		for band, shade := range spectrum[c.column*bands : (c.column+1)*bands] {
			if (shade == 255) != (band == want) || math.Abs(float64(band-want)) > 1 && shade > 60 {
				t.Errorf("%v, column %d: band %d has %d of 255; the tone is in band %d", c.span, c.column, band, shade, want)
			}
		}
	}
}

// No link leads out of the project, and nothing is read that the sheet does not name.
func TestSketchesReadInsideTheProject(t *testing.T) {
	path := withTakes(t, 2)
	dir := filepath.Dir(path)
	outside := t.TempDir()
	writeTake(t, outside, "secret.wav", 1, func(float64) float64 { return 0.5 })
	if err := os.Symlink(filepath.Join(outside, project.TakesFolder, "secret.wav"),
		filepath.Join(dir, project.TakesFolder, "hob-marrable", "link.wav")); err != nil {
		t.Fatal(err)
	}
	p := play(t, path)
	for _, name := range []string{"hob-marrable/link.wav", "../../secret.wav", "../map.toml", "hob-marrable", ""} {
		if picture, err := p.sketchOfTake(takeFile{path: name}); err == nil {
			t.Errorf("%q gives %d bytes", name, len(picture))
		}
	}
	p.sheet.keep(readSheet(dir).files)
	ask := func(take string) int {
		answer := httptest.NewRecorder()
		p.sketch(answer, httptest.NewRequest("GET", "/sketch?take="+take, nil))
		return answer.Code
	}
	if got := ask("hob-marrable/bell-0.wav"); got != http.StatusOK {
		t.Errorf("a take of the sheet: %d", got)
	}
	for _, take := range []string{"hob-marrable/link.wav", "hob-marrable/bell-9.wav", ""} {
		if got := ask(take); got != http.StatusNotFound {
			t.Errorf("%q: %d, want %d", take, got, http.StatusNotFound)
		}
	}
}

// Of two thousand takes only those are asked for that have been in sight: at the top, and at the end.
func TestSketchesOfTakesInSightAlone(t *testing.T) {
	v := play(t, manyTakes(t, 2000)).open(t)
	v.evaluate("location.hash = '#takes'")
	asked := testbrowser.Outside(t, v.tab, "ws:")
	await(t, "the takes are counted", func() bool { return v.textOf(".count-of") == "2000 takes" })
	v.do(chromedp.Focus(chromedp.CSS(".list")), chromedp.KeyEvent(kb.End))
	await(t, "the last row is in sight", func() bool {
		return v.evaluate("document.querySelector('[data-name=\"hob-marrable/bell-1999.wav\"]') !== null") == "true"
	})
	const last = "take=hob-marrable%2Fbell-1999.wav"
	pictures := func() []string {
		return slices.DeleteFunc(asked(), func(address string) bool { return !strings.Contains(address, "/sketch?") })
	}
	await(t, "the picture of the last take has been asked for", func() bool {
		return slices.ContainsFunc(pictures(), func(address string) bool { return strings.HasSuffix(address, last) })
	})
	var made int
	if _, err := fmt.Sscan(v.evaluate("document.querySelectorAll('.take').length"), &made); err != nil {
		t.Fatal(err)
	}
	if count := len(pictures()); count > 3*made {
		t.Errorf("%d pictures were asked for, with %d rows made", count, made)
	}
}
