// Checks that stretches of one recording are built as takes of their own.

package beds

import (
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
)

func TestStretchesAreTakesOfTheirOwn(t *testing.T) {
	p := newProject(t, shortBeds(), aFew...)
	s := p.settings()
	sheet, err := takes.ReadSheet(p.path(project.SheetFile), takes.OptionsOf(&s))
	if err != nil {
		t.Fatal(err)
	}
	stretches := []takes.Stretch{{FromSec: 0.2, ToSec: 1}, {FromSec: 1, ToSec: 2}}
	if err := sheet.Split("flute/E4.mp3", stretches); err != nil {
		t.Fatal(err)
	}
	if err := sheet.Save(p.path(project.SheetFile)); err != nil {
		t.Fatal(err)
	}
	p.intake()
	report := p.build()
	var heard []string
	for i := range report.Heard {
		if name := report.Heard[i].Name(); strings.HasPrefix(name, "flute") {
			heard = append(heard, name)
		}
	}
	if want := []string{"flute/E4.mp3 (0.2 to 1 s)", "flute/E4.mp3 (1 to 2 s)"}; !slices.Equal(heard, want) {
		t.Errorf("heard %q, want %q", heard, want)
	}
	read, err := ReadHeard(filepath.Join(p.dir, project.HeardFile))
	if err != nil || len(read) != len(report.Heard) || read[1].Name() != report.Heard[1].Name() {
		t.Errorf("the ledger reads as %v (%v), want %v", read, err, report.Heard)
	}
	// Again, nothing is made; another stretch makes the beds of its take anew, and no others.
	if again := p.build(); len(again.Built) > 0 {
		t.Errorf("nothing has changed, made anew were %v", again.Built)
	}
	uses := 0
	for i := range report.Heard {
		if report.Heard[i].Name() == "flute/E4.mp3 (1 to 2 s)" {
			uses = len(report.Heard[i].Beds)
		}
	}
	sheet, _ = takes.ReadSheet(p.path(project.SheetFile), takes.OptionsOf(&s))
	for i := range sheet.Rows {
		if sheet.Rows[i].FromSec == 1 {
			sheet.Rows[i].ToSec = 1.9
		}
	}
	if err := sheet.Save(p.path(project.SheetFile)); err != nil {
		t.Fatal(err)
	}
	p.intake()
	if again := p.build(); len(again.Built) == 0 || len(again.Built) > uses+2 {
		t.Errorf("a stretch in %d beds was edited: made anew were %v", uses, again.Built)
	}
}
