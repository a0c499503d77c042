// Which files of a project become takes.

package takes

import (
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

// Which files are takes: nothing hidden, nothing that is no sound by its name, nothing outside the project.
func TestFindTakes(t *testing.T) {
	y := newYard(t)
	for _, name := range []string{"anna/bell", "anna/Bell.WAV", "anna/letter.pdf", "anna/.hidden.wav", ".trash/x.wav",
		"__MACOSX/anna/bell", "carl/film.mp4"} {
		y.put(name, tone(1))
	}
	outside := filepath.Join(t.TempDir(), "outside.wav")
	if err := os.WriteFile(outside, tone(1), 0o666); err != nil {
		t.Fatal(err)
	}
	wantFiles, wantLeft := "anna/Bell.WAV anna/bell carl/film.mp4", "anna/letter.pdf: no sound by its name"
	if runtime.GOOS != "windows" { // links need a privilege there
		for link, target := range map[string]string{"dora/out.wav": outside, "dora/in.wav": "../anna/bell",
			"dora/gone.wav": "nothing.wav", "dora/loop": ".."} {
			if err := os.MkdirAll(y.place("dora"), 0o777); err != nil {
				t.Fatal(err)
			}
			if err := os.Symlink(target, y.place(link)); err != nil {
				t.Fatal(err)
			}
		}
		wantFiles += " dora/in.wav"
		wantLeft += ", dora/gone.wav: a link to nothing; put the file itself there, dora/loop: a link to a folder; " +
			"put the folder itself there, dora/out.wav: a link out of the project; put the file itself there"
	}
	files, left, err := findTakes(y.dir)
	var names, reasons []string
	for _, file := range files {
		names = append(names, file.path)
	}
	for _, l := range left {
		reasons = append(reasons, l.Path+": "+l.Why)
	}
	if err != nil || strings.Join(names, " ") != wantFiles {
		t.Errorf("takes %v, %v; want %s", names, err, wantFiles)
	}
	if strings.Join(reasons, ", ") != wantLeft {
		t.Errorf("left out %v, want %s", reasons, wantLeft)
	}
}
