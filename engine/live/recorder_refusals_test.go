// What the recorder refuses before anything starts.

package live

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"lapstrake/engine"
)

// Nothing is overwritten, and a refused recording leaves no file.
func TestRecorderRefusals(t *testing.T) {
	for _, c := range []struct {
		name, path, there string
		rateHz            int
		want              string
		exists            bool
	}{
		{"the sound is there", "a.wav", "a.wav", recordRateHz, "a.wav: found that it is there already", true},
		{"the performance is there", "a.wav", "a.mid", recordRateHz, "a.mid: found that it is there already", true},
		{"another kind of file", "a.flac", "", recordRateHz,
			`a.flac: found a name that ends in ".flac", expected .wav`, false},
		{"a missing folder", filepath.Join("none", "a.wav"), "", recordRateHz, "a.wav: cannot be recorded on", false},
		{"a rate without ticks", "a.wav", "", 44101, "44101 Hz", false},
	} {
		dir := t.TempDir()
		if c.there != "" {
			if err := os.WriteFile(filepath.Join(dir, c.there), []byte("ours"), 0o666); err != nil {
				t.Fatal(err)
			}
		}
		_, applied := engine.NewQueue(1)
		_, err := NewRecorder(filepath.Join(dir, c.path), c.rateHz, 0, applied)
		if err == nil || !strings.HasPrefix(err.Error(), dir) || !strings.Contains(err.Error(), c.want) ||
			errors.Is(err, fs.ErrExist) != c.exists {
			t.Errorf("%s: %v, want one with %q", c.name, err, c.want)
		}
		files, _ := os.ReadDir(dir)
		for _, file := range files {
			if content, _ := os.ReadFile(filepath.Join(dir, file.Name())); file.Name() != c.there ||
				string(content) != "ours" {
				t.Errorf("%s: left %s behind, with %q", c.name, file.Name(), content)
			}
		}
	}
}
