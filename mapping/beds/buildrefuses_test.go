// Takes, sheets and settings that cannot be built from: what is told, and what goes on.

package beds

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
)

// A take that went or changed after the intake ends the build with its name and the mend; after another intake the
// rest is built.
func TestTakesThatAreNotAsMeasured(t *testing.T) {
	for what, c := range map[string]struct {
		spoil func(p yard)
		want  string
		left  string // why it is left out after another intake; "" if it is built from
	}{
		"removed": {func(p yard) { os.Remove(p.path(project.TakesFolder, "flute", "E4.mp3")) },
			"flute/E4.mp3: ", "missing"},
		"changed": {func(p yard) { p.put("flute/E4.mp3", p.read(project.TakesFolder, "bassoon", "C4.mp3")[:30000]) },
			"flute/E4.mp3: has changed since it was measured: run `lapstrake intake`", ""},
		"spoilt": {func(p yard) {
			p.put("flute/E4.mp3", []byte("Dear neighbour, the recording is in the other envelope."))
		},
			"flute/E4.mp3: has changed since it was measured", "found"},
		"the same as another": {func(p yard) {
			p.put("flute/E4.mp3",
				p.read(project.TakesFolder, "bassoon", "C4.mp3"))
		}, "flute/E4.mp3: has changed since it was measured", "the same recording as bassoon/C4.mp3"},
	} {
		p := newProject(t, shortBeds(), aFew...)
		c.spoil(p)
		if said := p.refused(); !strings.Contains(filepath.ToSlash(said), c.want) || strings.Contains(said, "\n") {
			t.Errorf("%s: %s; want one line with %s", what, said, c.want)
		}
		if names := p.leftovers(); len(names) > 0 {
			t.Errorf("%s: left over: %v", what, names)
		}
		p.intake()
		report := p.build()
		if len(report.Built)+report.Kept != 8 {
			t.Errorf("%s: %d beds built, %d kept, want 8 together", what, len(report.Built), report.Kept)
		}
		switch {
		case c.left == "" && len(report.LeftOut) != 0,
			c.left != "" && (len(report.LeftOut) != 1 || report.LeftOut[0].Path != "flute/E4.mp3" ||
				!strings.Contains(report.LeftOut[0].Reason, c.left)):
			t.Errorf("%s: left out %v, want %q", what, report.LeftOut, c.left)
		}
	}
}

// What the sheet and the settings leave out is told with its reason. Of two files that are alike the one that the
// builder wants is used.
func TestWhatIsLeftOut(t *testing.T) {
	settings := shortBeds()
	settings.Project.RequireConsent = true
	p := newProject(t, settings, aFew...)
	p.put("anna/silence.wav", wavOf(1, 16000, make([]float32, 16000)))
	p.put("anna/same.mp3", p.read(project.TakesFolder, "flute", "E4.mp3"))
	p.intake()
	for _, take := range append([]string{"anna/silence.wav", "anna/same.mp3"}, aFew...) {
		p.edit(take, func(row *takes.Row) { row.Credit, row.Consent = "Anna", "by letter" })
	}
	p.edit("bassoon/A3.mp3", func(row *takes.Row) { row.Consent = "" })
	p.edit("bassoon/C4.mp3", func(row *takes.Row) { row.Use = false })
	want := map[string]string{"bassoon/A3.mp3": "require_consent", "bassoon/C4.mp3": "use = no",
		"anna/silence.wav": "nothing sounds", "anna/same.mp3": "the same recording as flute/E4.mp3"}
	checkLeftOut(t, "as it is", p.build(), want)

	p.edit("flute/E4.mp3", func(row *takes.Row) { row.Use = false })
	delete(want, "anna/same.mp3")
	want["flute/E4.mp3"] = "use = no"
	checkLeftOut(t, "without the first of two", p.build(), want)

	settings.Project.RequireConsent = false
	if err := settings.Save(p.dir); err != nil {
		t.Fatal(err)
	}
	delete(want, "bassoon/A3.mp3")
	checkLeftOut(t, "without consent", p.build(), want)
}

func checkLeftOut(t *testing.T, what string, report *BuildReport, want map[string]string) {
	t.Helper()
	if len(report.LeftOut) != len(want) {
		t.Errorf("%s: left out %v, want %v", what, report.LeftOut, want)
	}
	for _, row := range report.LeftOut {
		if want[row.Path] == "" || !strings.Contains(row.Reason, want[row.Path]) {
			t.Errorf("%s: %s left out: %s; want %q", what, row.Path, row.Reason, want[row.Path])
		}
		if len(bedsWith(report, row.Path)) > 0 {
			t.Errorf("%s: %s is in a bed", what, row.Path)
		}
	}
}

func TestBuildRefuses(t *testing.T) {
	for what, c := range map[string]struct {
		spoil func(p yard)
		want  []string
	}{
		"no sheet": {func(p yard) { os.Remove(p.path(project.SheetFile)) },
			[]string{"takes.csv: no take sheet: make it with `lapstrake intake`"}},
		"no settings": {func(p yard) { writeText(p, project.SettingsFile, "[beds]\nlength_sec = 'long'\n") },
			[]string{"lapstrake.toml:2", "beds.length_sec"}},
		"broken cells": {func(p yard) {
			text := strings.Replace(string(p.read(project.SheetFile)), "bassoon/C4.mp3,yes,",
				"bassoon/C4.mp3,perhaps,", 1)
			writeText(p, project.SheetFile, strings.Replace(text, "flute/E4.mp3,yes,flute,,,,,",
				"flute/E4.mp3,yes,flute,,,,,mezzo", 1))
		}, []string{`takes.csv: row 3, column use (B): found "perhaps", expected yes or no`,
			`takes.csv: row 4, column layer (H): found "mezzo", expected soft, loud, both`}},
		"nothing used": {func(p yard) {
			for _, take := range aFew {
				p.edit(take, func(row *takes.Row) { row.Use = false })
			}
		}, []string{"takes.csv: no take is left to build beds from: all 6 are left out, the first, bassoon/A3.mp3, " +
			"because the sheet says use = no"}},
		"edited measures": {func(p yard) {
			writeText(p, project.SheetFile, strings.ReplaceAll(string(p.read(project.SheetFile)),
				",held,", ",struck,"))
			for _, take := range aFew[3:] {
				p.edit(take, func(row *takes.Row) { row.Use = false })
			}
		}, []string{"because its measured columns are not as they were measured: run `lapstrake intake`"}},
		"too wide a grid": {func(p yard) {
			writeText(p, project.SettingsFile, "[grid]\nlowest_key = 0\nhighest_key = 127\n")
		}, []string{"lapstrake.toml", "grid.root_at", "key 127", "narrow lowest_key and highest_key"}},
		"a file for the beds": {func(p yard) { writeText(p, project.BedsFolder, "mine") },
			[]string{project.BedsFolder}},
	} {
		p := newProject(t, shortBeds(), aFew...)
		c.spoil(p)
		before := p.state(".")
		said := p.refused()
		for _, want := range c.want {
			if !strings.Contains(filepath.ToSlash(said), want) {
				t.Errorf("%s: %s\nwant %s", what, said, want)
			}
		}
		if p.state(".") != before {
			t.Errorf("%s: files were written", what)
		}
	}
}

// Odd files are built from as far as they hold sound, beside the others; none is touched.
func TestOddTakesAreBuiltFrom(t *testing.T) {
	p := newProject(t, shortBeds())
	odd := map[string][]byte{
		"anna/zero.wav": {}, "anna/silent.wav": wavOf(1, 44100, make([]float32, 44100)),
		"anna/one.wav": wavOf(1, 44100, []float32{0.5}),
		"anna/low.wav": reed(1, 8000, 1, 0.2), "anna/high.wav": reed(2, 192000, 1, 0.2),
		"anna/five.wav": reed(5, 48000, 1, 0.1),
		"anna/cut.wav":  reed(1, 32000, 1, 0.15)[:40000], "anna/mislabelled.mp3": reed(1, 32000, 1, 0.12),
		"anna/short.wav":  reed(1, 48000, 0.03, 0.2),
		"anna/letter.wav": []byte("Dear neighbour, the recording is in the other envelope."),
		"anna/fine.wav":   reed(1, 48000, 1, 0.22), "bob/fine.wav": reed(1, 48000, 1, 0.21),
	}
	for name, data := range odd {
		p.put(name, data)
	}
	p.intake()
	before := p.state(project.TakesFolder)
	report := p.build()
	if p.state(project.TakesFolder) != before {
		t.Error("takes were changed")
	}
	if len(report.Built) != 8 || len(report.Uneven) > 0 {
		t.Errorf("%d beds, want 8; off their figures: %v", len(report.Built), report.Uneven)
	}
	for name := range odd {
		var without bool
		switch name {
		case "anna/zero.wav", "anna/silent.wav", "anna/letter.wav":
			without = true
		case "anna/one.wav":
			continue // a click, or nothing
		}
		if built := len(bedsWith(report, name)) > 0; built == without {
			t.Errorf("%s is in a bed: %v", name, built)
		}
	}
}

func writeText(p yard, name, text string) {
	p.t.Helper()
	if err := os.WriteFile(p.path(name), []byte(text), 0o666); err != nil {
		p.t.Fatal(err)
	}
}
