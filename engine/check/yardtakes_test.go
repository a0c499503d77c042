// Takes of the sound maps made for the tests: what the record of a build would tell of them.

package check_test

import (
	"encoding/json"
	"errors"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"lapstrake/mapping"
	"lapstrake/mapping/project"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes/decode"
	"lapstrake/mapping/wav"
)

// yardTake is a take that was put into a bed at its own pitch.
type yardTake struct {
	path   string
	frames []float32 // interleaved stereo
}

// addStray makes a bed of partials anew, with a take of one tone half an octave above its root that is as strong as
// the first of them, beside a take that is in tune. It returns the stray's path.
func (y *yard) addStray(bed mapping.BedName) string {
	frames := partials(rand.New(rand.NewPCG(uint64(bed.Root), 5)), float64(bed.Root), 1.5)
	stray := yardTake{"ann/tone.wav", make([]float32, len(frames))}
	hz := sound.KeyHz(float64(bed.Root)) * math.Sqrt2
	for i := range stray.frames {
		stray.frames[i] = float32(math.Sin(2 * math.Pi * hz * float64(i/2) / yardRateHz))
		frames[i] += stray.frames[i]
	}
	level(frames, map[string]float64{"soft": -29, "loud": -20}[bed.Layer])
	y.beds[bed] = frames
	y.takes = map[mapping.BedName]yardTake{bed: stray}
	return stray.path
}

// writeTakes writes the takes and the record that names them beside one that is in tune.
func (y *yard) writeTakes(t testing.TB, dir string) {
	t.Helper()
	if len(y.takes) == 0 {
		return
	}
	type inBed struct {
		Path string `json:"path"`
	}
	type built struct {
		Bytes int64   `json:"size_bytes"`
		Hash  string  `json:"sha256"`
		Takes []inBed `json:"takes"`
	}
	record := map[string]map[string]built{"beds": {}}
	for bed, take := range y.takes {
		file := filepath.Join(dir, bed.String())
		info, err := os.Stat(file)
		if err != nil {
			t.Fatal(err)
		}
		hash, err := decode.Hash(file)
		if err != nil {
			t.Fatal(err)
		}
		record["beds"][bed.String()] = built{info.Size(), hash, []inBed{{"bob/note.wav"}, {take.path}}}
		note := partials(rand.New(rand.NewPCG(1, 1)), float64(bed.Root), 1.5)
		for path, frames := range map[string][]float32{take.path: take.frames, "bob/note.wav": note} {
			writeWAV(t, filepath.Join(dir, project.TakesFolder, path), frames)
		}
	}
	data, err := json.Marshal(record)
	if err != nil {
		t.Fatal(err)
	}
	folder := filepath.Join(dir, project.BedsFolder)
	if err := errors.Join(os.MkdirAll(folder, 0o777),
		os.WriteFile(filepath.Join(folder, project.BuiltFile), data, 0o666)); err != nil {
		t.Fatal(err)
	}
}

// writeWAV writes interleaved stereo.
func writeWAV(t testing.TB, path string, frames []float32) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
		t.Fatal(err)
	}
	w, err := wav.Create(path, yardRateHz, 2, wav.Float)
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(w.WriteFrames(frames), w.Commit()); err != nil {
		t.Fatal(err)
	}
}
