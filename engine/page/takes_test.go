// The takes on the page: heard, decided, taken back, beside whatever a spreadsheet does.

package page

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"lapstrake/engine/testbrowser"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
)

// withTakes is a project with a few takes beside its map.
func withTakes(t testing.TB, count int) (path string) {
	t.Helper()
	path = newProject(t)
	dir := filepath.Dir(path)
	for i := range count {
		who := filepath.Join(dir, project.TakesFolder, []string{"hob-marrable", "wren-ferriby"}[i%2])
		if err := os.MkdirAll(who, 0o777); err != nil {
			t.Fatal(err)
		}
		writeSine(t, filepath.Join(who, fmt.Sprintf("bell-%d.wav", i)), 220*math.Exp2(float64(i)/12))
	}
	if _, err := takes.Intake(context.Background(), dir, takes.IntakeOptions{}); err != nil {
		t.Fatal(err)
	}
	return path
}

func sheetOf(t testing.TB, path string) *takes.Sheet {
	t.Helper()
	settings := project.Default()
	sheet, err := takes.ReadSheet(filepath.Join(filepath.Dir(path), project.SheetFile), takes.OptionsOf(&settings))
	if err != nil {
		t.Fatal(err)
	}
	return sheet
}

func TestTakesAreHeardAndDecided(t *testing.T) {
	path := withTakes(t, 5)
	v := play(t, path).open(t)
	v.evaluate("location.hash = '#takes'")
	await(t, "the takes are listed", func() bool {
		return v.evaluate(
			"document.querySelectorAll('.take').length") == "5"
	})

	// Walk and hear.
	v.do(chromedp.Focus(chromedp.CSS(".list")), chromedp.KeyEvent(kb.ArrowDown), chromedp.KeyEvent(" "))
	await(t, "the second take plays in place of the music", v.player.IsDry)
	if got := v.evaluate("document.querySelector('.card h3').textContent"); got != "bell 2" {
		t.Errorf("the card is that of %q, want bell 2", got)
	}
	v.do(chromedp.KeyEvent(kb.Escape))
	await(t, "the music is back", func() bool { return !v.player.IsDry() })

	// Decide, and take back.
	set := func(column, value string) {
		v.evaluate(fmt.Sprintf("(() => { const i = document.querySelector('[data-column=%s]'); i.value = %q; "+
			"i.dispatchEvent(new Event('change')); })()", column, value))
	}
	name := sheetOf(t, path).Rows[1].Name()
	set("use", "no")
	await(t, "the sheet says no", func() bool { return !sheetOf(t, path).Rows[1].Use })
	await(t, "the page says so", func() bool {
		return v.evaluate("[...document.querySelectorAll('.take.unused .name')]"+
			".map((n) => n.textContent).join()") == "bell 2"
	})
	set("key", "H9")
	await(t, "what cannot be is told", func() bool {
		return strings.Contains(v.evaluate("document.querySelector('.problem').textContent"), "expected a MIDI key")
	})
	v.evaluate("[...document.querySelectorAll('.choose button')].find((b) => b.textContent === 'Take back').click()")
	await(t, "it is taken back", func() bool { return sheetOf(t, path).Rows[1].Use })

	// Whoever decides on what is not there any more is told, and nothing is lost.
	sheet := sheetOf(t, path)
	sheet.Rows[1].Title = "from a spreadsheet"
	if err := sheet.Save(filepath.Join(filepath.Dir(path), project.SheetFile)); err != nil {
		t.Fatal(err)
	}
	if _, err := v.editSheet([]takes.CellEdit{{Take: name, Column: "title", From: "",
		To: "from the page"}}); err == nil || !strings.Contains(err.Error(), "somebody else has changed it") {
		t.Errorf("an edit of an old cell: %v", err)
	}
	await(t, "the page shows what the spreadsheet wrote", func() bool {
		return v.evaluate("document.querySelector('.card h3').textContent") == "from a spreadsheet"
	})
	for _, width := range []int64{360, 1280, 2560} {
		for _, dark := range []bool{false, true} {
			v.do(testbrowser.Look(width, dark))
			for _, short := range testbrowser.Shortfalls(t, v.tab) {
				t.Errorf("%d px, dark %v: %s", width, dark, short)
			}
		}
	}
}

// manyTakes is a project whose sheet has so many takes, all but the first of which are missing.
func manyTakes(t testing.TB, count int) (path string) {
	t.Helper()
	path = withTakes(t, 1)
	var lines strings.Builder
	lines.WriteString("take,use,title\n")
	for i := range count {
		fmt.Fprintf(&lines, "hob-marrable/bell-%d.wav,yes,Bell %d\n", i, i)
	}
	file := filepath.Join(filepath.Dir(path), project.SheetFile)
	if err := os.WriteFile(file, []byte(lines.String()), 0o666); err != nil {
		t.Fatal(err)
	}
	return path
}

// Two thousand takes scroll: no more rows are made than are in sight and a few beyond, and the last one is reached.
func TestManyTakesScroll(t *testing.T) {
	v := play(t, manyTakes(t, 2000)).open(t)
	v.evaluate("location.hash = '#takes'")
	await(t, "the takes are counted", func() bool {
		return v.evaluate(
			"document.querySelector('.count-of').textContent") == "2000 takes"
	})
	v.do(chromedp.Focus(chromedp.CSS(".list")), chromedp.KeyEvent(kb.End))
	await(t, "the last take is chosen", func() bool {
		return v.evaluate("document.querySelector('[aria-selected=true] .name')?.textContent") == "Bell 1999"
	})
	if made := v.evaluate("document.querySelectorAll('.take').length < 60"); made != "true" {
		t.Errorf("%s rows are made", v.evaluate("document.querySelectorAll('.take').length"))
	}
}
