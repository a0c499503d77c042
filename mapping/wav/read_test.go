// Reading frames: any position, any length, any number of readers, and files that misbehave.

package wav

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"pgregory.net/rapid"
)

// noise is a file of random integers, longer than several pieces.
func noise(t testing.TB, channels, bits int) *File {
	const frames = 50_000
	body := randomBytes(frames*channels*bits/8, uint64(bits))
	return newFile(t, riff(plainFormat(1, channels, 48000, bits), padded("data", body)))
}

// Any stretch of any file is that stretch of the whole, sample by sample by the definition.
func TestReadStereoAnyStretch(t *testing.T) {
	var files []*File
	for _, bits := range []int{8, 16, 24, 32} {
		files = append(files, noise(t, 1, bits), noise(t, 2, bits))
	}
	rapid.Check(t, func(t *rapid.T) {
		f := rapid.SampledFrom(files).Draw(t, "file")
		pos := rapid.Int64Range(0, f.Info.Frames).Draw(t, "pos")
		frames := rapid.Int64Range(0, f.Info.Frames-pos).Draw(t, "frames")
		dst := make([]float32, 2*frames)
		if err := f.ReadStereo(dst, pos); err != nil {
			t.Fatal(err)
		}
		raw, width, frameBytes := make([]byte, 8), f.Info.Encoding.Bytes(), f.Info.frameBytes()
		for i := int64(0); i < frames; i += 1 + frames/500 {
			for side := range 2 {
				at := f.Info.DataOffset + (pos+i)*int64(frameBytes) + int64(min(side, f.Info.Channels-1)*width)
				f.r.ReadAt(raw[:width], at)
				if got, want := dst[2*i+int64(side)], float32(reference(raw, f.Info.Encoding)); got != want {
					t.Fatalf("%v, %d channels, frame %d, side %d: %v, want %v", f.Info.Encoding, f.Info.Channels,
						pos+i, side, got, want)
				}
			}
		}
	})
}

// All channels as they stand, in any stretch, by the definition; a take may have any number of them.
func TestReadFramesAnyStretch(t *testing.T) {
	var files []*File
	for channels := 1; channels <= 6; channels++ {
		files = append(files, noise(t, channels, 16), noise(t, channels, 24))
	}
	rapid.Check(t, func(t *rapid.T) {
		f := rapid.SampledFrom(files).Draw(t, "file")
		channels := f.Info.Channels
		pos := rapid.Int64Range(0, f.Info.Frames).Draw(t, "pos")
		frames := rapid.Int64Range(0, f.Info.Frames-pos).Draw(t, "frames")
		dst := make([]float32, int64(channels)*frames)
		if err := f.ReadFrames(dst, pos); err != nil {
			t.Fatal(err)
		}
		raw, width := make([]byte, 8), f.Info.Encoding.Bytes()
		for i := int64(0); i < int64(len(dst)); i += 1 + int64(len(dst))/500 {
			f.r.ReadAt(raw[:width], f.Info.DataOffset+(pos*int64(channels)+i)*int64(width))
			if want := float32(reference(raw, f.Info.Encoding)); dst[i] != want {
				t.Fatalf("%v, %d channels from frame %d: sample %d is %v, want %v", f.Info.Encoding, channels,
					pos, i, dst[i], want)
			}
		}
	})
}

func TestReadFramesRefusals(t *testing.T) {
	f := noise(t, 5, 16)
	for _, c := range []struct {
		samples int
		pos     int64
	}{{4, 0}, {5, f.Info.Frames}, {5, -1}} {
		if err := f.ReadFrames(make([]float32, c.samples), c.pos); err == nil ||
			!strings.HasPrefix(err.Error(), fmt.Sprintf("take.wav: frame %d: ", c.pos)) {
			t.Errorf("%d samples at frame %d: error %v, want one naming file and frame", c.samples, c.pos, err)
		}
	}
}

// A file cut short can still be read as far as it goes, by whoever wants to.
func TestNewFileOfTruncated(t *testing.T) {
	data := riff(plainFormat(1, 2, 48000, 16), padded("data", bytes.Repeat(le(int16(16384)), 2000)))
	data = data[:len(data)-1000]
	f, err := NewFile(bytes.NewReader(data), int64(len(data)), "take.wav")
	var truncated *TruncatedError
	if !errors.As(err, &truncated) || f == nil || f.Info.Frames != 750 {
		t.Fatalf("%+v, %v; want a file of 750 frames beside a *TruncatedError", f, err)
	}
	if err := f.ReadStereo(make([]float32, 1500), 0); err != nil {
		t.Error(err)
	}
}

func TestReadStereoOutsideTheFile(t *testing.T) {
	f := newFile(t, riff(plainFormat(1, 2, 48000, 16), padded("data", make([]byte, 400))))
	for _, c := range []struct {
		samples int
		pos     int64
	}{{2, 100}, {4, 99}, {202, 0}, {2, -1}, {0, 101}, {2, math.MaxInt64}, {2, math.MinInt64}, {3, 0}} {
		err := f.ReadStereo(make([]float32, c.samples), c.pos)
		if err == nil || !strings.HasPrefix(err.Error(), fmt.Sprintf("take.wav: frame %d: ", c.pos)) {
			t.Errorf("%d samples at frame %d: error %v, want one naming file and frame", c.samples, c.pos, err)
		}
	}
	if err := f.ReadStereo(nil, 100); err != nil {
		t.Errorf("no frames at the end: %v", err)
	}
}

func TestReadStereoOfSurround(t *testing.T) {
	f := newFile(t, riff(plainFormat(1, 6, 48000, 16), padded("data", make([]byte, 120))))
	if err := f.ReadStereo(make([]float32, 2), 0); err == nil || !strings.Contains(err.Error(), "found 6 channels") ||
		!strings.Contains(err.Error(), "mix it down") {
		t.Errorf("error %v, want one that says what to do about 6 channels", err)
	}
}

// Not-a-number and infinity become 0, everything else arrives, and the first one is named.
func TestReadStereoNotFinite(t *testing.T) {
	const frames = 20_000 // several pieces of 64-bit floats
	for name, encode := range map[string]struct {
		bits  int
		value func(float64) any
	}{"float": {32, func(v float64) any { return float32(v) }}, "double": {64, func(v float64) any { return v }}} {
		var body []byte
		for i := range frames {
			v := float64(i) / frames
			switch i {
			case 9_001:
				v = math.NaN()
			case 9_002:
				v = math.Inf(-1)
			case 19_999:
				v = math.Inf(1)
			}
			body = append(body, le(encode.value(v))...)
		}
		f := newFile(t, riff(plainFormat(3, 1, 48000, encode.bits), padded("data", body)))
		dst := make([]float32, 2*(frames-100))
		err := f.ReadStereo(dst, 100)
		var notFinite *NotFiniteError
		if !errors.As(err, &notFinite) || notFinite.Frame != 9_001 || notFinite.Path != "take.wav" {
			t.Errorf("%s: error %v, want a *NotFiniteError at frame 9001", name, err)
		}
		for i := 100; i < frames; i++ {
			want := float32(float64(i) / frames)
			if i == 9_001 || i == 9_002 || i == 19_999 {
				want = 0
			}
			if l, r := dst[2*(i-100)], dst[2*(i-100)+1]; l != want || r != want {
				t.Fatalf("%s: frame %d is %v, %v; want %v", name, i, l, r, want)
			}
		}
	}
}

// A double beyond the range of a 32-bit float cannot be delivered either.
func TestReadStereoTooLargeADouble(t *testing.T) {
	f := newFile(t, riff(plainFormat(3, 1, 48000, 64), padded("data", 1e300, 0.5)))
	var notFinite *NotFiniteError
	dst := make([]float32, 4)
	if err := f.ReadStereo(dst, 0); !errors.As(err, &notFinite) || dst[0] != 0 || dst[2] != 0.5 {
		t.Errorf("got %v, %v; want a *NotFiniteError, 0 and 0.5", dst, err)
	}
}

// A file that shrinks or fails after it was opened gives an error at the frame where it stopped.
func TestReadStereoShortAndBroken(t *testing.T) {
	data := riff(plainFormat(1, 2, 48000, 16), padded("data", bytes.Repeat(le(int16(16384)), 100_000)))
	info, err := readInfo(data)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		r    io.ReaderAt
		want error
	}{
		{bytes.NewReader(data[:44+4*20_000+3]), io.ErrUnexpectedEOF},
		{failsAt{bytes.NewReader(data), 44 + 4*20_000}, errDisk},
	} {
		f := &File{Info: info, Path: "take.wav", r: c.r}
		dst := make([]float32, 2*50_000)
		err := f.ReadStereo(dst, 0)
		if !errors.Is(err, c.want) || !strings.HasPrefix(err.Error(), "take.wav: frame 20000: ") {
			t.Errorf("error %v, want %v at frame 20000 of take.wav", err, c.want)
		}
		if dst[0] != 0.5 || dst[2*16_000] != 0.5 {
			t.Error("what was read before the failure is not in dst")
		}
	}
}

// failsAt is a disk with a bad sector at a byte.
type failsAt struct {
	io.ReaderAt
	bad int64
}

func (d failsAt) ReadAt(p []byte, offset int64) (int, error) {
	if offset+int64(len(p)) <= d.bad {
		return d.ReaderAt.ReadAt(p, offset)
	}
	n, _ := d.ReaderAt.ReadAt(p[:max(d.bad-offset, 0)], offset)
	return n, errDisk
}

// pieceChecker fails the test on reads larger than promised.
type pieceChecker struct {
	io.ReaderAt
	largest int
}

func (p *pieceChecker) ReadAt(b []byte, offset int64) (int, error) {
	p.largest = max(p.largest, len(b))
	return p.ReaderAt.ReadAt(b, offset)
}

func TestReadStereoReadsInPieces(t *testing.T) {
	f := noise(t, 2, 24)
	checker := &pieceChecker{ReaderAt: f.r}
	f.r = checker
	if err := f.ReadStereo(make([]float32, 2*f.Info.Frames), 0); err != nil || checker.largest > 64<<10 {
		t.Errorf("largest read %d bytes, %v; want at most 64 KiB", checker.largest, err)
	}
}

func TestReadStereoAllocatesNothing(t *testing.T) {
	for _, channels := range []int{1, 2} {
		f := noise(t, channels, 24)
		dst := make([]float32, 2*30_000)
		if allocs := testing.AllocsPerRun(100, func() {
			if err := f.ReadStereo(dst, 1000); err != nil {
				t.Fatal(err)
			}
		}); allocs != 0 {
			t.Errorf("%d channels: %v allocations a read, want none", channels, allocs)
		}
	}
}

func TestReadStereoConcurrently(t *testing.T) {
	f := noise(t, 2, 24)
	whole := make([]float32, 2*f.Info.Frames)
	if err := f.ReadStereo(whole, 0); err != nil {
		t.Fatal(err)
	}
	var group sync.WaitGroup
	for worker := range 8 {
		group.Add(1)
		go func() {
			defer group.Done()
			dst := make([]float32, 2*3_000)
			for pos := int64(worker * 100); pos+3_000 <= f.Info.Frames; pos += 777 {
				if err := f.ReadStereo(dst, pos); err != nil {
					t.Error(err)
					return
				}
				for i, got := range dst {
					if got != whole[2*int(pos)+i] {
						t.Errorf("worker %d, frame %d: %v, want %v", worker, pos+int64(i/2), got, whole[2*int(pos)+i])
						return
					}
				}
			}
		}()
	}
	group.Wait()
}

func TestOpen(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "bell.wav")
	data := riff(plainFormat(1, 1, 44100, 16), padded("data", int16(8192), int16(-8192)))
	if err := os.WriteFile(path, data, 0o444); err != nil {
		t.Fatal(err)
	}
	f, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	dst := make([]float32, 4)
	if err := f.ReadStereo(dst, 0); err != nil || fmt.Sprint(dst) != "[0.25 0.25 -0.25 -0.25]" {
		t.Errorf("got %v, %v", dst, err)
	}
	if f.Path != path {
		t.Errorf("Path is %q, want %q", f.Path, path)
	}
	if err := f.Close(); err != nil {
		t.Error(err)
	}
	if err := f.ReadStereo(dst, 0); !errors.Is(err, os.ErrClosed) ||
		!strings.HasPrefix(err.Error(), path+": frame 0: ") {
		t.Errorf("reading a closed file: %v", err)
	}
	missing := filepath.Join(folder, "none.wav")
	if _, err := Open(missing); !errors.Is(err, os.ErrNotExist) || !strings.Contains(err.Error(), missing) {
		t.Errorf("missing file: %v", err)
	}
	if _, err := Open(folder); err == nil || !strings.HasPrefix(err.Error(), folder+": found a folder") {
		t.Errorf("a folder: %v", err)
	}
}
