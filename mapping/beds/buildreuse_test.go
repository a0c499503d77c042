// What a build uses again is never what was true before a change.

package beds

import (
	"os"
	"path/filepath"
	"testing"

	"lapstrake/mapping/project"
)

// fresh is the ledger of a project as it is built for the first time from the beds' last recipes: nothing but the
// record of who goes where is kept.
func (p yard) fresh() string {
	p.t.Helper()
	other := p.copied()
	if err := os.Mkdir(other.path(project.BedsFolder), 0o777); err != nil {
		p.t.Fatal(err)
	}
	if err := os.WriteFile(other.path(project.BedsFolder, project.BuiltFile),
		p.read(project.BedsFolder, project.BuiltFile), 0o666); err != nil {
		p.t.Fatal(err)
	}
	if r := other.build(); r.Kept != 0 {
		p.t.Fatalf("%d beds were there already", r.Kept)
	}
	sameBytes(p.t, "made from nothing", other.beds(), p.beds())
	return string(other.read(project.HeardFile))
}

// After each of many changes, beds and ledger are what a build makes that finds neither beds nor ledger; and what is
// taken back gives the bytes that there were.
func TestBuildUsesNothingStaleAgain(t *testing.T) {
	p := newProject(t, shortBeds(), aFew...)
	p.build()
	first, heard := p.beds(), string(p.read(project.HeardFile))
	const take = "flute/E4.mp3"
	file := p.path(project.TakesFolder, filepath.FromSlash(take))
	away := filepath.Join(t.TempDir(), "away.mp3")
	move := func(from, to string) {
		t.Helper()
		if err := os.Rename(from, to); err != nil {
			t.Fatal(err)
		}
		p.intake()
	}
	seed := func(to int64) {
		t.Helper()
		s := p.settings()
		s.Project.Seed = to
		if err := s.Save(p.dir); err != nil {
			t.Fatal(err)
		}
	}
	for _, change := range []struct {
		what        string
		there, back func()
		all         bool // beds change
	}{
		{"the seed moved", func() { seed(7) }, func() { seed(1) }, true},
		{"a take withdrawn", func() { move(file, away) }, func() { move(away, file) }, false},
	} {
		change.there()
		p.build()
		changed := differing(p.beds(), first)
		if len(changed) == 0 || change.all && len(changed) != len(first) {
			t.Errorf("%s: other bytes in %v of %d beds", change.what, changed, len(first))
		}
		if got := string(p.read(project.HeardFile)); got != p.fresh() || got == heard {
			t.Errorf("%s: heard.csv is not that of the beds that lie there", change.what)
		}
		change.back()
		p.build()
		sameBytes(t, change.what+", and taken back", p.beds(), first)
		if string(p.read(project.HeardFile)) != heard {
			t.Errorf("%s, and taken back: another heard.csv", change.what)
		}
	}
}
