// Package testtakes gives tests the recordings of testdata, decoded once.
package testtakes

import (
	"path/filepath"
	"sync"
	"testing"

	"lapstrake/mapping/takes/decode"
	"lapstrake/mapping/testsound"
)

// Recording is one of testdata/recordings, decoded.
type Recording struct {
	Name  string // folder and file
	Sound *decode.Sound
}

// In gives all recordings of the folders. They are decoded once and must not be changed.
func In(t testing.TB, folders ...string) (all []Recording) {
	t.Helper()
	for _, folder := range folders {
		decoded, _ := decodedFolders.LoadOrStore(folder,
			sync.OnceValues(func() ([]Recording, error) { return decodeFolder(folder) }))
		some, err := decoded.(func() ([]Recording, error))()
		if err != nil || len(some) == 0 {
			t.Fatalf("recordings in %s: %d, %v", folder, len(some), err)
		}
		all = append(all, some...)
	}
	return all
}

var decodedFolders sync.Map

func decodeFolder(folder string) (all []Recording, err error) {
	paths, err := filepath.Glob(filepath.Join(testsound.Recordings(), folder, "*"))
	for _, path := range paths {
		sound, err := decode.File(path)
		if err != nil {
			return nil, err
		}
		all = append(all, Recording{folder + "/" + filepath.Base(path), sound})
	}
	return all, err
}

// Mono is a sound of one channel, as it would come from a 24-bit file.
func Mono(rateHz int, samples []float32) *decode.Sound {
	return &decode.Sound{RateHz: rateHz, Bits: 24, Format: "WAV", Channels: [][]float32{samples}}
}
