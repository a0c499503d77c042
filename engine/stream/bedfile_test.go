package stream

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"lapstrake/mapping/wav"
)

// bedOf is a bed of a file in memory.
func bedOf(t *testing.T, data []byte) *BedFile {
	t.Helper()
	file, err := wav.NewFile(bytes.NewReader(data), int64(len(data)), "bed.wav")
	if err != nil {
		t.Fatal(err)
	}
	return &BedFile{File: file}
}

// project opens a folder that holds these files.
func project(t *testing.T, files map[string][]byte) *os.Root {
	t.Helper()
	dir := t.TempDir()
	for name, data := range files {
		path := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, data, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { root.Close() })
	return root
}

// Values that every encoding holds exactly.
func eighths(pos int) (left, right float64) {
	return float64(pos%200-100) / 128, float64(pos%16-8) / 8
}

func TestBedOfEveryEncodingIsPlayed(t *testing.T) {
	const frames = 1001
	for _, sample := range []struct {
		tag  uint16
		bits int
	}{{1, 8}, {1, 16}, {1, 24}, {1, 32}, {3, 32}, {3, 64}} {
		for _, channels := range []int{1, 2} {
			for _, extensible := range []bool{false, true} {
				form := waveForm{sample.tag, sample.bits, channels, 48000, extensible}
				t.Run(fmt.Sprintf("%+v", form), func(t *testing.T) {
					root := project(t, map[string][]byte{"beds/a.wav": waveFile(form, frames, eighths)})
					bed, err := OpenBed(root, "beds/a.wav")
					if err != nil {
						t.Fatal(err)
					}
					defer bed.Close()
					if bed.Name() != "beds/a.wav" || bed.Frames() != frames || bed.RateHz() != 48000 {
						t.Errorf("%s, %d frames at %d Hz", bed.Name(), bed.Frames(), bed.RateHz())
					}
					data := readFrames(t, newCycle(t, 0, 0, bed), -1, frames+1)
					for k := range frames + 1 {
						left, right := eighths((k + frames - 1) % frames)
						if channels == 1 {
							right = left
						}
						if data[2*k] != float32(left) || data[2*k+1] != float32(right) {
							t.Fatalf("frame %d: %v %v, want %v %v", k-1, data[2*k], data[2*k+1], left, right)
						}
					}
				})
			}
		}
	}
}

func TestOpenBedRefuses(t *testing.T) {
	good := waveFile(waveForm{1, 16, 2, 48000, false}, 10, eighths)
	outside := filepath.Join(t.TempDir(), "outside.wav")
	if err := os.WriteFile(outside, good, 0o666); err != nil {
		t.Fatal(err)
	}
	six := bytes.Clone(good)
	six[22], six[32], six[28], six[29], six[30] = 6, 12, 0, 0xCA, 8 // channels, frame bytes, 576000 bytes a second
	root := project(t, map[string][]byte{
		"beds/good.wav": good, "beds/text.wav": []byte("not a sound at all, nor a WAVE file"),
		"beds/six.wav": append(six, make([]byte, 8)...),
	})
	if err := root.Symlink(outside, "beds/link.wav"); err != nil {
		t.Fatal(err)
	}
	if err := root.Symlink("good.wav", "beds/alias.wav"); err != nil {
		t.Fatal(err)
	}
	up, err := filepath.Rel(root.Name(), outside)
	if err != nil {
		t.Fatal(err)
	}
	for path, want := range map[string]string{
		"beds/link.wav":      "link out of it",
		filepath.ToSlash(up): "a file of the project",
		"../good.wav":        "a file of the project",
		outside:              "a file of the project",
		"beds/none.wav":      "missing",
		"beds":               "not a regular file",
		"beds/text.wav":      "WAVE",
		"beds/six.wav":       "6 channels",
	} {
		bed, err := OpenBed(root, path)
		if err == nil {
			bed.Close()
		}
		if err == nil || !strings.HasPrefix(err.Error(), path+": ") || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: error %v, want it to name the path and say %q", path, err, want)
		}
	}
	alias, err := OpenBed(root, "beds/alias.wav")
	if err != nil {
		t.Fatalf("a link within the project: %v", err)
	}
	alias.Close()
}

// virtual is a file whose sound says at every frame which one it is.
type virtual struct {
	head   []byte
	frames int64
}

func (v virtual) size() int64 { return int64(len(v.head)) + 4*v.frames }

func (v virtual) ReadAt(p []byte, offset int64) (int, error) {
	for i := range p {
		at := offset + int64(i) - int64(len(v.head))
		if at < 0 {
			p[i] = v.head[offset+int64(i)]
		} else {
			p[i] = byte(uint32(at/4) >> (8 * (at % 4)))
		}
	}
	return len(p), nil
}

// A bed beyond 4 GiB (RF64 after EBU Tech 3306) gives every frame from its place.
func TestBedBeyondFourGiB(t *testing.T) {
	const frames, overlap = 3 << 29, 4096 // 6 GiB of 16-bit stereo
	v := virtual{frames: frames}
	put32, put64 := binary.LittleEndian.AppendUint32, binary.LittleEndian.AppendUint64
	v.head = append(put32([]byte("RF64"), 0xFFFFFFFF), "WAVEds64"...)
	v.head = put64(put64(put64(put32(v.head, 28), 72+4*frames), 4*frames), frames)
	v.head = append(put32(v.head, 0), waveFile(waveForm{1, 16, 2, 48000, false}, 0, nil)[12:36]...)
	v.head = put32(append(v.head, "data"...), 0xFFFFFFFF)
	file, err := wav.NewFile(v, v.size(), "long.wav")
	if err != nil {
		t.Fatal(err)
	}
	bed := &BedFile{File: file}
	cycle := newCycle(t, overlap, 0, bed, bed)
	if cycle.Frames != 2*(frames-overlap) {
		t.Fatalf("%d frames, want %d", cycle.Frames, int64(2*(frames-overlap)))
	}
	for _, test := range []struct{ pos, bedFrame int64 }{
		{0, overlap},
		{1<<30 - 8, 1<<30 - 8 + overlap}, // about the byte 2^32
		{frames - 2*overlap - 16, frames - overlap - 16},
		{frames - overlap, overlap}, // the second time round
		{-overlap - 16, frames - overlap - 16},
		{cycle.Frames * 1_000_000_000, overlap},
	} {
		data := readFrames(t, cycle, test.pos, 16)
		for k := range int64(16) {
			low := uint16(int16(data[2*k] * 32768))
			high := uint16(int16(data[2*k+1] * 32768))
			if got := int64(high)<<16 | int64(low); got != test.bedFrame+k {
				t.Fatalf("cycle frame %d is the bed's frame %d, want %d", test.pos+k, got, test.bedFrame+k)
			}
		}
	}
}
