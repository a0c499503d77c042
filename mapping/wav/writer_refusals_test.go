// What the writer refuses, and what is left on the disk then.

package wav

import (
	"bytes"
	"errors"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Refusals write nothing, and what was written before still makes a file.
func TestWriterRefusals(t *testing.T) {
	path := filepath.Join(t.TempDir(), "out.wav")
	w, err := Create(path, 48000, 2, PCM24)
	if err != nil {
		t.Fatal(err)
	}
	defer w.Discard()
	if err := w.WriteFrames([]float32{0.5, -0.5}); err != nil {
		t.Fatal(err)
	}
	if err := w.WriteFrames(make([]float32, 3)); err == nil || !strings.HasPrefix(err.Error(), path+": frame 1: ") {
		t.Errorf("half a frame: %v", err)
	}
	bad := make([]float32, 8)
	bad[5] = float32(math.NaN())
	var notFinite *NotFiniteError
	if err := w.WriteFrames(bad); !errors.As(err, &notFinite) || notFinite.Path != path || notFinite.Frame != 1+2 {
		t.Errorf("NaN: %v, want a *NotFiniteError at frame 3", err)
	}
	w.maxFrames = 10
	err = w.WriteFrames(make([]float32, 2*10))
	// 4294967258 bytes of 6: 715827876 frames, 14913 whole seconds.
	for _, part := range []string{path + ": ", "11 frames", "at most 715827876 ",
		"4h8m33s at 48000 Hz, 2 channels, 24-bit integer"} {
		if err == nil || !strings.Contains(err.Error(), part) {
			t.Errorf("too many frames: %v, want an error with %q", err, part)
		}
	}
	if err := w.WriteFrames(make([]float32, 2*9)); err != nil {
		t.Errorf("exactly as many frames as fit: %v", err)
	}
	if err := w.Commit(); err != nil {
		t.Fatal(err)
	}
	if out, info := readAll(t, path); info.Frames != 10 || out[0] != 0.5 || out[1] != -0.5 {
		t.Errorf("%d frames starting %v, want 10 starting 0.5, −0.5", info.Frames, out[:2])
	}
	if err := w.Commit(); !errors.Is(err, os.ErrClosed) {
		t.Errorf("a second Commit: %v, want os.ErrClosed", err)
	}
}

// The longest file's size still fits its 32-bit field and differs from "unknown".
func TestMaxFramesFitsTheSizeField(t *testing.T) {
	for f := range formats {
		for channels := 1; channels <= 2; channels++ {
			frameBytes := int64(channels * Format(f).Encoding().Bytes())
			data := maxFrames(channels, Format(f)) * frameBytes
			if size := 36 + data + data%2; size >= math.MaxUint32 || size+2*frameBytes < math.MaxUint32 {
				t.Errorf("%v, %d channels: the form's size is %d; want just below 2^32−1", Format(f), channels, size)
			}
		}
	}
}

func TestCreateRefusals(t *testing.T) {
	path := filepath.Join(t.TempDir(), "out.wav")
	for _, c := range []struct {
		rateHz, channels int
		f                Format
		found            string
	}{{0, 2, PCM24, "0 Hz"}, {768001, 2, PCM24, "768001 Hz"}, {48000, 0, PCM24, "0 channels"},
		{48000, 3, PCM24, "3 channels"}, {48000, 2, 7, "unknown format 7"}} {
		if _, err := Create(path, c.rateHz, c.channels, c.f); err == nil ||
			!strings.HasPrefix(err.Error(), path+": found ") || !strings.Contains(err.Error(), c.found) {
			t.Errorf("%+v: error %v", c, err)
		}
	}
	if _, err := Create(filepath.Join(path, "none", "out.wav"), 48000, 2, PCM24); err == nil {
		t.Error("a missing folder was taken")
	}
	if list, err := os.ReadDir(filepath.Dir(path)); err != nil || len(list) != 0 {
		t.Errorf("%d files were left behind, %v", len(list), err)
	}
}

func TestDiscardLeavesTheOldFile(t *testing.T) {
	path, before := write(t, 1, PCM24, []float32{0.25})
	w, err := Create(path, 48000, 1, PCM24)
	if err != nil {
		t.Fatal(err)
	}
	if err := w.WriteFrames(make([]float32, 100_000)); err != nil {
		t.Fatal(err)
	}
	w.Discard()
	if after, err := os.ReadFile(path); err != nil || !bytes.Equal(before, after) {
		t.Errorf("the old file is %d bytes, %v; want its %d unchanged", len(after), err, len(before))
	}
	if list, _ := os.ReadDir(filepath.Dir(path)); len(list) != 1 {
		t.Errorf("%d files in the folder, want 1", len(list))
	}
}

// A disk that fills up is reported by WriteFrames or Commit and leaves no file.
func TestWriterReportsAFullDisk(t *testing.T) {
	path := filepath.Join(t.TempDir(), "out.wav")
	w, err := Create(path, 48000, 2, PCM24)
	if err != nil {
		t.Fatal(err)
	}
	w.buffer.Writer.Reset(fullDisk{})
	err = w.WriteFrames(make([]float32, 2*100_000))
	if !errors.Is(err, errDisk) {
		t.Errorf("WriteFrames: %v, want the disk's error", err)
	}
	if err := w.Commit(); err == nil {
		t.Error("Commit after a failed write succeeded")
	}
	if list, _ := os.ReadDir(filepath.Dir(path)); len(list) != 0 {
		t.Errorf("%d files were left behind", len(list))
	}
}

type fullDisk struct{ io.Writer }

func (fullDisk) Write([]byte) (int, error) { return 0, errDisk }
