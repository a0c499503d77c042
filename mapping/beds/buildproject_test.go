// A project of recordings that the tests of the build fill, edit, build and look at.

package beds

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"lapstrake/mapping"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
	"lapstrake/mapping/testsound"
	"lapstrake/mapping/wav"
)

// yard is a project folder of the test's own.
type yard struct {
	t   testing.TB
	dir string
}

// aFew are recordings of all kinds.
var aFew = []string{"bassoon/A3.mp3", "bassoon/C4.mp3", "flute/E4.mp3", "guitar-acoustic/B3.mp3", "piano/C4v10.flac",
	"misc/perc_swash.flac"}

// shortBeds are settings for eight beds of 2 s, at roots 60 and 72, that build quickly.
func shortBeds() project.Settings {
	s := project.Default()
	s.Project.RateHz = 16000
	s.Grid.Ranks, s.Grid.LowestKey, s.Grid.HighestKey = 1, 49, 72
	s.Beds.LengthSec, s.Beds.OverlapSec = 2, 0.5
	s.Beds.LeastTakes, s.Beds.MostTakes = 2, 3
	s.Arrange.MinVoices = 2
	return s
}

// measuredSheets are the sheets of projects that were measured, by their files: measuring takes longer than building.
var measuredSheets = map[string][]byte{}

// newProject is a project of some recordings, measured, with settings.
func newProject(t testing.TB, s project.Settings, files ...string) yard {
	t.Helper()
	p := yard{t, t.TempDir()}
	if err := os.Mkdir(p.path(project.TakesFolder), 0o777); err != nil {
		t.Fatal(err)
	}
	for _, file := range files {
		data, err := os.ReadFile(filepath.Join(testsound.Recordings(), filepath.FromSlash(file)))
		if err != nil {
			t.Fatal(err)
		}
		p.put(file, data)
	}
	if err := s.Save(p.dir); err != nil {
		t.Fatal(err)
	}
	names := strings.Join(files, " ")
	if sheet, found := measuredSheets[names]; found {
		if err := os.WriteFile(p.path(project.SheetFile), sheet, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	p.intake()
	measuredSheets[names] = p.read(project.SheetFile)
	return p
}

func (p yard) path(parts ...string) string {
	return filepath.Join(append([]string{p.dir}, parts...)...)
}

func (p yard) put(take string, data []byte) {
	p.t.Helper()
	path := p.path(project.TakesFolder, filepath.FromSlash(take))
	if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
		p.t.Fatal(err)
	}
	if err := os.WriteFile(path, data, 0o666); err != nil {
		p.t.Fatal(err)
	}
}

// copied is the project in another folder, without what was built.
func (p yard) copied() yard {
	p.t.Helper()
	other := yard{p.t, p.t.TempDir()}
	for _, name := range []string{project.SettingsFile, project.SheetFile} {
		if err := os.WriteFile(other.path(name), p.read(name), 0o666); err != nil {
			p.t.Fatal(err)
		}
	}
	if err := os.CopyFS(other.path(project.TakesFolder), os.DirFS(p.path(project.TakesFolder))); err != nil {
		p.t.Fatal(err)
	}
	return other
}

func (p yard) read(parts ...string) []byte {
	p.t.Helper()
	data, err := os.ReadFile(p.path(parts...))
	if err != nil {
		p.t.Fatal(err)
	}
	return data
}

func (p yard) settings() project.Settings {
	p.t.Helper()
	s, err := project.Load(p.dir)
	if err != nil {
		p.t.Fatal(err)
	}
	return s
}

func (p yard) intake() {
	p.t.Helper()
	s := p.settings()
	if _, err := takes.Intake(p.t.Context(), p.dir,
		takes.IntakeOptions{SheetOptions: takes.OptionsOf(&s)}); err != nil {
		p.t.Fatal(err)
	}
}

// edit changes the row of a take in the sheet.
func (p yard) edit(take string, change func(*takes.Row)) {
	p.t.Helper()
	s := p.settings()
	sheet, err := takes.ReadSheet(p.path(project.SheetFile), takes.OptionsOf(&s))
	if err != nil {
		p.t.Fatal(err)
	}
	at := slices.IndexFunc(sheet.Rows, func(r takes.Row) bool { return r.Path == take })
	if at < 0 {
		p.t.Fatalf("no row of %s", take)
	}
	change(&sheet.Rows[at])
	if err := sheet.Save(p.path(project.SheetFile)); err != nil {
		p.t.Fatal(err)
	}
}

func (p yard) build() *BuildReport {
	p.t.Helper()
	report, err := Build(p.t.Context(), p.dir, BuildOptions{})
	if err != nil {
		p.t.Fatal(err)
	}
	return report
}

// refused is the text of the error that a build ends with.
func (p yard) refused() string {
	p.t.Helper()
	if _, err := Build(p.t.Context(), p.dir, BuildOptions{}); err != nil {
		return err.Error()
	}
	p.t.Fatal("it was built, want an error")
	return ""
}

// bed is the sound of a bed.
func (p yard) bed(slot mapping.BedName) (left, right []float32, rateHz int) {
	p.t.Helper()
	file, err := wav.Open(p.path(project.BedsFolder, slot.String()))
	if err != nil {
		p.t.Fatal(err)
	}
	defer file.Close()
	info := file.Info
	if info.Channels != 2 || info.Encoding != wav.Int24 {
		p.t.Fatalf("%s: %+v, want 24-bit stereo", slot, info)
	}
	both := make([]float32, 2*info.Frames)
	if err := file.ReadStereo(both, 0); err != nil {
		p.t.Fatal(err)
	}
	for i := 0; i < len(both); i += 2 {
		left, right = append(left, both[i]), append(right, both[i+1])
	}
	return left, right, info.RateHz
}
