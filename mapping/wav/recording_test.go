// What stands on the disk while a recording goes on, after it, and when the disk is full.

package wav

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	goaudio "github.com/go-audio/wav"
	"pgregory.net/rapid"
)

// testSecond is how many frames pass between two updates here, so that few do.
const testSecond = 1000

func record(t testing.TB, channels int, f Format) (*Recording, string) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "out.wav")
	r, err := Record(path, 48000, channels, f)
	if err != nil {
		t.Fatal(err)
	}
	r.rateHz = testSecond // of which Update alone takes heed from here on
	t.Cleanup(func() { r.file.Close() })
	return r, path
}

// At every moment the file opens, in our reader and in go-audio's, and holds all but at most the last second
// of what was written, with the samples that a Writer would have put there.
func TestRecordingOpensAtAnyMoment(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		channels := rapid.IntRange(1, 2).Draw(rt, "channels")
		f := rapid.SampledFrom([]Format{PCM16, PCM24, Float}).Draw(rt, "format")
		r, path := record(t, channels, f)
		defer r.Close()
		var written []float32
		for _, frames := range rapid.SliceOfN(rapid.IntRange(0, 1500), 1, 4).Draw(rt, "blocks") {
			block := ramp(len(written), frames*channels)
			if err := r.WriteFrames(block); err != nil {
				rt.Fatal(err)
			}
			written = append(written, block...)
			out, info := readAll(t, path)
			total := int64(len(written) / channels)
			// Our reader takes a form that counts no sound, followed by some, as one that was never closed.
			unclosed := r.Frames() == 0 && info.Frames <= total
			if !unclosed && info.Frames != r.Frames() || r.Frames() > total || total-r.Frames() >= testSecond {
				rt.Fatalf("%d frames to be read of %d written, %d said; want all but less than 1000", info.Frames,
					total, r.Frames())
			}
			wholePath, whole := write(t, channels, f, written[:int(r.Frames())*channels])
			if want, _ := readAll(t, wholePath); !slices.Equal(out[:len(want)], want) {
				rt.Fatalf("the first %d frames are not those of a Writer", r.Frames())
			}
			data, err := os.ReadFile(path)
			if err != nil || !bytes.Equal(data[:headerBytes], whole[:headerBytes]) {
				rt.Fatalf("the header is % x, %v; a Writer's % x", data[:headerBytes], err, whole[:headerBytes])
			}
			if f != Float {
				decoded, err := goaudio.NewDecoder(bytes.NewReader(data)).FullPCMBuffer()
				// It makes one sample too many of an odd number of bytes.
				phantom := r.Frames() * int64(len(r.frame)) % 2
				if err != nil || int64(decoded.NumFrames()) != r.Frames()+phantom {
					rt.Fatalf("go-audio reads %d frames, %v; want %d", decoded.NumFrames(), err, r.Frames())
				}
			}
		}
		if err := r.Close(); err != nil {
			rt.Fatal(err)
		}
		_, whole := write(t, channels, f, written)
		if data, err := os.ReadFile(path); err != nil || !bytes.Equal(data, whole) {
			rt.Fatalf("closed, the file differs from a Writer's, %v", err)
		}
	})
}

// ramp is sound of which every sample differs from its neighbours.
func ramp(first, samples int) []float32 {
	sound := make([]float32, samples)
	for i := range sound {
		sound[i] = float32((first+i)%9973)/9973 - 0.5
	}
	return sound
}

// The form's size is even, and the pad byte there, while an odd number of bytes stands on the disk.
func TestRecordingPads(t *testing.T) {
	r, path := record(t, 1, PCM24)
	for range 3 { // 3, 6 and 9 bytes of sound
		if err := r.WriteFrames([]float32{-0.25}); err != nil {
			t.Fatal(err)
		}
		if err := r.Update(); err != nil {
			t.Fatal(err)
		}
		data, err := os.ReadFile(path)
		sound := 3 * int(r.Frames())
		want := riff(plainFormat(1, 1, 48000, 24), padded("data", bytes.Repeat([]byte{0, 0, 0xE0}, int(r.Frames()))))
		if err != nil || !bytes.Equal(data, want) || len(data) != headerBytes+sound+sound%2 {
			t.Errorf("after %d frames, %v:\n% x\nwant\n% x", r.Frames(), err, data, want)
		}
	}
}

func TestRecordOverwritesNothing(t *testing.T) {
	path, before := write(t, 2, PCM24, []float32{0.25, 0.5})
	_, err := Record(path, 48000, 2, PCM24)
	if !errors.Is(err, fs.ErrExist) || !strings.HasPrefix(err.Error(), path+": ") ||
		!strings.Contains(err.Error(), "choose another name") {
		t.Errorf("a file that is there: %v", err)
	}
	if after, err := os.ReadFile(path); err != nil || !bytes.Equal(before, after) {
		t.Errorf("the file that was there has changed, %v", err)
	}
	missing := filepath.Join(filepath.Dir(path), "none", "out.wav")
	if _, err := Record(missing, 48000, 2, PCM24); !errors.Is(err, fs.ErrNotExist) ||
		strings.Count(err.Error(), missing) != 1 {
		t.Errorf("a missing folder: %v", err)
	}
	unused := filepath.Join(filepath.Dir(path), "unused.wav")
	if _, err := Record(unused, 0, 2, PCM24); err == nil || !strings.Contains(err.Error(), "0 Hz") {
		t.Errorf("a rate of 0: %v", err)
	}
	if _, err := os.Stat(unused); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("a refused recording left its file: %v", err)
	}
}

// The 4 GiB of the form end a recording with an error, not with a damaged file.
func TestRecordingRefusesTooMuch(t *testing.T) {
	r, path := record(t, 2, PCM24)
	r.maxFrames = 10
	if err := r.WriteFrames(ramp(0, 2*10)); err != nil {
		t.Fatal(err)
	}
	if err := r.WriteFrames(ramp(0, 2)); err == nil || !strings.Contains(err.Error(), "4 GiB") {
		t.Errorf("one frame too many: %v", err)
	}
	if err := r.Close(); err != nil {
		t.Fatal(err)
	}
	if _, info := readAll(t, path); info.Frames != 10 {
		t.Errorf("%d frames, want the 10 that fit", info.Frames)
	}
}

func TestRecordingAllocatesNothing(t *testing.T) {
	r, _ := record(t, 2, PCM24)
	block := make([]float32, 2*512)
	if allocs := testing.AllocsPerRun(80, func() { r.WriteFrames(block) }); allocs != 0 {
		t.Errorf("%v allocations a block, want none", allocs)
	}
}
