// A project that the tests of the intake fill, edit and look at.

package takes

import (
	"crypto/sha256"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"lapstrake/mapping/project"
	"lapstrake/mapping/testsound"
)

// yard is a project of the test's own.
type yard struct {
	t   testing.TB
	dir string
}

func newYard(t testing.TB) yard {
	t.Helper()
	y := yard{t, t.TempDir()}
	if err := os.Mkdir(filepath.Join(y.dir, project.TakesFolder), 0o777); err != nil {
		t.Fatal(err)
	}
	return y
}

func (y yard) place(take string) string {
	return filepath.Join(y.dir, project.TakesFolder, filepath.FromSlash(take))
}

// put lays a file into takes/.
func (y yard) put(take string, data []byte) {
	y.t.Helper()
	if err := os.MkdirAll(filepath.Dir(y.place(take)), 0o777); err != nil {
		y.t.Fatal(err)
	}
	if err := os.WriteFile(y.place(take), data, 0o666); err != nil {
		y.t.Fatal(err)
	}
}

func (y yard) move(from, to string) {
	y.t.Helper()
	if err := os.MkdirAll(filepath.Dir(y.place(to)), 0o777); err != nil {
		y.t.Fatal(err)
	}
	if err := os.Rename(y.place(from), y.place(to)); err != nil {
		y.t.Fatal(err)
	}
}

func (y yard) intake() *Report {
	y.t.Helper()
	report, err := Intake(y.t.Context(), y.dir, IntakeOptions{})
	if err != nil {
		y.t.Fatal(err)
	}
	return report
}

func (y yard) sheet() string {
	y.t.Helper()
	data, err := os.ReadFile(filepath.Join(y.dir, project.SheetFile))
	if err != nil {
		y.t.Fatal(err)
	}
	return string(data)
}

func (y yard) saveSheet(data string) {
	y.t.Helper()
	if err := os.WriteFile(filepath.Join(y.dir, project.SheetFile), []byte(data), 0o666); err != nil {
		y.t.Fatal(err)
	}
}

// edit changes the first cell of a take's row in a column, as in a spreadsheet.
func (y yard) edit(take, title, cell string) {
	y.t.Helper()
	rows := tableOf(y.t, []byte(y.sheet()))
	at := slices.Index(rows[0], title)
	for _, row := range rows {
		if row[slices.Index(rows[0], "take")] == take {
			row[at] = cell
		}
	}
	d := newDialect()
	y.saveSheet(string(d.join(rows)))
}

func (y yard) row(take string) *Row {
	y.t.Helper()
	s := mustRead(y.t, filepath.Join(y.dir, project.SheetFile))
	at := slices.IndexFunc(s.Rows, func(r Row) bool { return r.Path == take })
	if at < 0 {
		y.t.Fatalf("no row of %s in\n%s", take, y.sheet())
	}
	return &s.Rows[at]
}

// files is what lies in the project, with contents and times.
func (y yard) files() string {
	var all strings.Builder
	filepath.WalkDir(y.dir, func(path string, entry fs.DirEntry, err error) error {
		if err == nil && entry.Type().IsRegular() {
			data, _ := os.ReadFile(path)
			info, _ := entry.Info()
			fmt.Fprintf(&all, "%s %x %v\n", path, sha256.Sum256(data), info.ModTime())
		}
		return err
	})
	return all.String()
}

// tone is a WAV file of half a second of 100 Hz; n makes it differ from others.
func tone(n int) []byte {
	return testsound.WavBytes(1, 1, 32000, 16, testsound.Sine16(1, 32000, 16000+n))
}

func paths(s *Sheet) string {
	var all []string
	for i := range s.Rows {
		all = append(all, s.Rows[i].Path)
	}
	return strings.Join(all, " ")
}
