package compare

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// What is expected is what was measured, is read back from beside the rendering, and belongs to that file alone.
func TestExpectedLiesBeside(t *testing.T) {
	e, err := Expect("score.mid", "render.wav", played(wrongs{}), sections)
	if err != nil {
		t.Fatal(err)
	}
	sum := 0.0
	for _, band := range e.Bands {
		sum += math.Pow(10, band.DBFS/10)
	}
	// The K filter raises little of a sound below 1.5 kHz: loudness and the sum of the bands are near each other
	// (BS.1770).
	if level := 10*math.Log10(sum) - 0.69; math.Abs(level-e.LoudnessLUFS) > 1.5 || e.Seconds != 18 ||
		len(e.Bands) == 0 {
		t.Errorf("%.2f LUFS, bands %.2f, %v s", e.LoudnessLUFS, level, e.Seconds)
	}
	text, err := json.Marshal(e)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	path := filepath.Join(dir, "render.wav")
	if found, err := ReadBeside(path); found != nil || err != nil {
		t.Errorf("nothing there: %v, %v", found, err)
	}
	if err := os.WriteFile(filepath.Join(dir, ExpectedFile), text, 0o666); err != nil {
		t.Fatal(err)
	}
	if found, err := ReadBeside(path); err != nil || found == nil || len(found.Sections) != len(sections) ||
		found.Sections[1] != sections[1] {
		t.Errorf("read back: %+v, %v", found, err)
	}
	if found, err := ReadBeside(filepath.Join(dir, "other.wav")); found != nil || err != nil {
		t.Errorf("of another file: %+v, %v", found, err)
	}
	if err := os.WriteFile(filepath.Join(dir, ExpectedFile), []byte(`{"version": 2}`), 0o666); err != nil {
		t.Fatal(err)
	}
	if _, err := ReadBeside(path); err == nil || !strings.Contains(err.Error(), "found version 2, expected 1") {
		t.Errorf("another version: %v", err)
	}
}

// Hostile text gives an error or sections within a rendering.
func FuzzParseExpected(f *testing.F) {
	f.Add([]byte(`{"version":1,"render":"render.wav","sections":[{"try":"fade","from_s":1,"to_s":2}]}`))
	f.Add([]byte(`{"version":1,"sections":[{"from_s":2,"to_s":1e300}]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		e, err := parseExpected(data)
		if err != nil {
			return
		}
		for _, s := range e.Sections {
			if !(s.FromSec >= 0 && s.FromSec < s.ToSec) {
				t.Fatalf("%+v", s)
			}
		}
		(&Report{}).judgeSections(Sound{}, Sound{}, e.Sections)
	})
}
