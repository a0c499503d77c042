package wav

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
)

// A stream holds the bytes of a file of the same frames but for the two sizes, and our reader takes all of it.
func TestStream(t *testing.T) {
	for _, frames := range []int{0, 1, 48000} {
		samples := make([]float32, 2*frames)
		for i := range samples {
			samples[i] = float32(i%97) / 97
		}
		var piped bytes.Buffer
		stream, err := NewStream(&piped, "standard output", 48000, 2, PCM24)
		if err != nil {
			t.Fatal(err)
		}
		path := filepath.Join(t.TempDir(), "same.wav")
		file, err := Create(path, 48000, 2, PCM24)
		if err != nil {
			t.Fatal(err)
		}
		for _, w := range []interface {
			WriteFrames([]float32) error
			Commit() error
		}{stream, file} {
			if err := w.WriteFrames(samples); err != nil {
				t.Fatal(err)
			}
			if err := w.Commit(); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		copy(want[4:8], "\xFF\xFF\xFF\xFF")
		copy(want[40:44], "\xFF\xFF\xFF\xFF")
		if !bytes.Equal(piped.Bytes(), want) {
			t.Errorf("%d frames: the stream of %d bytes differs from the file of %d", frames, piped.Len(), len(want))
		}
		info, err := ReadInfo(bytes.NewReader(piped.Bytes()), int64(piped.Len()), "piped")
		if err != nil || info.Frames != int64(frames) {
			t.Errorf("%d frames: read back: %d, error %v", frames, info.Frames, err)
		}
	}
}
