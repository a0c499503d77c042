// What the decoders' tests share: files built field by field, and ffmpeg where it is installed.

package decode

import (
	"bytes"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"lapstrake/mapping/testsound"
)

// fileOf writes a file into a folder of the test's own.
func fileOf(t testing.TB, name string, data []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, data, 0o666); err != nil {
		t.Fatal(err)
	}
	return path
}

func mustDecode(t testing.TB, path string) *Sound {
	t.Helper()
	s, err := File(path)
	if err != nil {
		t.Fatal(err)
	}
	checkSound(t, path, s)
	return s
}

// checkSound holds any Sound to what Sound promises.
func checkSound(t testing.TB, path string, s *Sound) {
	t.Helper()
	if s.RateHz < 1 || s.Format == "" || len(s.Channels) < 1 || len(s.Channels) > maxChannels || s.Frames() < 1 {
		t.Fatalf("%s: %d Hz, %q, %d channels, %d frames", path, s.RateHz, s.Format, len(s.Channels), s.Frames())
	}
	for c, channel := range s.Channels {
		if len(channel) != s.Frames() {
			t.Fatalf("%s: channel %d has %d samples, channel 0 %d", path, c, len(channel), s.Frames())
		}
		for i, sample := range channel {
			if math.IsNaN(float64(sample)) || math.IsInf(float64(sample), 0) {
				t.Fatalf("%s: channel %d, frame %d: %v", path, c, i, sample)
			}
		}
	}
}

// wantRefusal checks that the file at path is refused with a line that names it and holds all the words.
func wantRefusal(t *testing.T, path string, words ...string) {
	t.Helper()
	s, err := File(path)
	if err == nil {
		t.Errorf("%s: decoded to %d frames of %s, want an error with %q", path, s.Frames(), s.Format, words)
		return
	}
	for _, word := range append(words, path) {
		if !strings.Contains(err.Error(), word) {
			t.Errorf("error %q lacks %q", err, word)
		}
	}
}

// withoutFFmpeg leaves no program in PATH.
func withoutFFmpeg(t testing.TB) { t.Setenv("PATH", t.TempDir()) }

// ffmpegMakes runs ffmpeg, the outside reference, to make files; without it the test is left out.
func ffmpegMakes(t testing.TB, arguments ...string) {
	t.Helper()
	program, err := exec.LookPath("ffmpeg")
	if err != nil {
		t.Skip("no ffmpeg: install ffmpeg to run this test")
	}
	arguments = append([]string{"-nostdin", "-v", "error", "-y"}, arguments...)
	if said, err := exec.Command(program, arguments...).CombinedOutput(); err != nil {
		t.Fatalf("ffmpeg %v: %v: %s", arguments, err, said)
	}
}

// farthest is the largest difference between two sounds of one length.
func farthest(t testing.TB, a, b *Sound) float64 {
	t.Helper()
	if a.Frames() != b.Frames() || len(a.Channels) != len(b.Channels) || a.RateHz != b.RateHz {
		t.Fatalf("%d frames of %d channels at %d Hz against %d of %d at %d", a.Frames(), len(a.Channels), a.RateHz,
			b.Frames(), len(b.Channels), b.RateHz)
	}
	most := 0.0
	for c := range a.Channels {
		for i := range a.Channels[c] {
			most = max(most, math.Abs(float64(a.Channels[c][i]-b.Channels[c][i])))
		}
	}
	return most
}

// allocatedBytes is what do allocates.
func allocatedBytes(do func()) uint64 {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	do()
	runtime.ReadMemStats(&after)
	return after.TotalAlloc - before.TotalAlloc
}

func recordings(t testing.TB, pattern string) []string {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join(testsound.Recordings(), pattern))
	if err != nil || len(paths) == 0 {
		t.Fatalf("no recordings %s (%v)", pattern, err)
	}
	return paths
}

func contents(t testing.TB, path string) []byte {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return bytes.Clone(data)
}
