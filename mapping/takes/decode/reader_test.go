// testReader: what any decoder must keep to, whatever it reads and however it is made.

package decode

import (
	"bytes"
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"

	"lapstrake/mapping/testsound"
)

// readerFile is a file for one decoder and what its maker says of it.
type readerFile struct {
	name                     string // its ending tells nothing to a decoder
	data                     []byte
	format                   string // as Sound has it: tells that this decoder read it
	channels, rateHz, frames int
	// the same, but its header declares far more sound than follows; nil: it declares none
	hostile []byte
	lossy   bool // the last frame before a cut may be half there
	outside bool // the decoder opens the path itself
}

// testReader holds a decoder to these promises:
//   - the frames, channels and rate are those that the file declares, and every sample is a finite number;
//   - the same file gives the same samples again, whether or not the end of the file is told with the last bytes, and
//     behind an ID3v2 tag;
//   - an excerpt is the same part of the sound, whatever comes behind it;
//   - the file is only read;
//   - a file that is cut off gives the beginning of the whole sound and says Truncated, or an error that names it;
//   - a length that is declared but not there costs no memory, and is an error or Truncated;
//   - a disk that fails gives an error or Truncated, and never a sound that seems whole.
func testReader(t *testing.T, f readerFile) {
	path := fileOf(t, f.name, f.data)
	if err := os.Chmod(path, 0o444); err != nil {
		t.Fatal(err)
	}
	before := stateOf(t, path)
	whole := mustDecode(t, path)
	if whole.Format != f.format || len(whole.Channels) != f.channels || whole.RateHz != f.rateHz ||
		whole.Frames() != f.frames || whole.Truncated || whole.NotFinite {
		t.Fatalf("%s: %d frames of %d channels at %d Hz, truncated %v, not finite %v; want %+v", whole.Format,
			whole.Frames(), len(whole.Channels), whole.RateHz, whole.Truncated, whole.NotFinite,
			readerFile{format: f.format, channels: f.channels, rateHz: f.rateHz, frames: f.frames})
	}
	if off := farthest(t, mustDecode(t, path), whole); off != 0 {
		t.Errorf("the second time, a sample differs by %v", off)
	}
	sec := float64(f.frames) / float64(f.rateHz)
	span := Span{FromSec: sec / 4, ToSec: sec / 2}
	part, err := Part(path, span)
	if err != nil {
		t.Fatal(err)
	}
	excerpt, err := Excerpt(path, span)
	if err != nil {
		t.Fatal(err)
	}
	if off := farthest(t, excerpt, part); off != 0 || excerpt.Frames() != part.Frames() ||
		excerpt.RateHz != f.rateHz || excerpt.Format != f.format {
		t.Errorf("an excerpt of %s is %d frames of %s at %d Hz, of which one is off by %v; want %d", span,
			excerpt.Frames(), excerpt.Format, excerpt.RateHz, off, part.Frames())
	}
	if stateOf(t, path) != before {
		t.Error("the file was changed")
	}
	if !f.outside {
		tag := append([]byte("ID3\x04\x00\x00\x00\x00\x00\x07"), make([]byte, 7)...)
		for name, s := range map[string]*Sound{"the end told with the last bytes": readFrom(t,
			eagerEOF(f.data), len(f.data)), "behind a tag": mustDecode(t, fileOf(t, f.name, append(tag, f.data...)))} {
			if off := farthest(t, s, whole); off != 0 || s.Truncated {
				t.Errorf("%s, a sample differs by %v (truncated: %v)", name, off, s.Truncated)
			}
		}
		testFailingDisk(t, f)
	}
	testCuts(t, f, whole)
	if f.hostile != nil {
		testHostile(t, f)
	}
}

func stateOf(t *testing.T, path string) string {
	t.Helper()
	info, err := os.Stat(path)
	hash, hashErr := Hash(path)
	if err := errors.Join(err, hashErr); err != nil {
		t.Fatal(err)
	}
	return info.Mode().String() + info.ModTime().String() + hash
}

func readFrom(t *testing.T, r io.ReaderAt, size int) *Sound {
	t.Helper()
	kept := &keeper{mostSamples: maxSamples}
	in, err := newInput(r, int64(size), "take", output{path: "take", to: kept})
	if err != nil {
		t.Fatal(err)
	}
	s, err := in.decode()
	if err != nil {
		t.Fatal(err)
	}
	s.Channels = kept.channels
	return s
}

// eagerEOF tells the end of the file together with its last bytes, as io.ReaderAt allows.
type eagerEOF []byte

func (r eagerEOF) ReadAt(p []byte, at int64) (int, error) {
	n, err := bytes.NewReader(r).ReadAt(p, at)
	if at+int64(n) == int64(len(r)) {
		err = io.EOF
	}
	return n, err
}

// failingDisk cannot read the second half of a file.
type failingDisk []byte

func (r failingDisk) ReadAt(p []byte, at int64) (int, error) {
	if at+int64(len(p)) > int64(len(r)/2) {
		return 0, errors.New("input/output error")
	}
	return bytes.NewReader(r).ReadAt(p, at)
}

func testFailingDisk(t *testing.T, f readerFile) {
	t.Helper()
	in := &input{path: "take", r: failingDisk(f.data), size: int64(len(f.data)),
		head: f.data[:min(len(f.data), headBytes)], out: output{path: "take", to: &keeper{mostSamples: maxSamples}}}
	if s, err := in.decode(); err == nil && !s.Truncated {
		t.Errorf("from a disk that fails: %d of %d frames, and neither an error nor a mark", in.out.frames, f.frames)
	}
}

func testCuts(t *testing.T, f readerFile, whole *Sound) {
	t.Helper()
	decoded, cuts := 0, 0
	step := 1
	if f.outside {
		step = len(f.data) / 5 // a program is started for each
	}
	for cut := step; cut < len(f.data)-1; cut += max(step, 1+min(cut/6, len(f.data)/25)) {
		cuts++
		path := fileOf(t, f.name, f.data[:cut])
		s, err := File(path)
		if err != nil {
			if !bytes.Contains([]byte(err.Error()), []byte(path)) {
				t.Errorf("cut at %d: error %q does not name the file", cut, err)
			}
			continue
		}
		decoded++
		checkSound(t, path, s)
		if !s.Truncated || s.Frames() > whole.Frames() {
			t.Errorf("cut at %d of %d: %d of %d frames, truncated: %v", cut, len(f.data), s.Frames(),
				whole.Frames(), s.Truncated)
		}
		for c := range s.Channels {
			for i, sample := range s.Channels[c] {
				if i < whole.Frames() && sample != whole.Channels[c][i] && !f.lossy {
					t.Fatalf("cut at %d: channel %d, frame %d is %v, whole %v", cut, c, i, sample,
						whole.Channels[c][i])
				}
			}
		}
	}
	if decoded < cuts/8 {
		t.Errorf("only %d of %d cut files gave any sound", decoded, cuts)
	}
}

func testHostile(t *testing.T, f readerFile) {
	t.Helper()
	path := fileOf(t, f.name, f.hostile)
	capBytes := uint64(4<<20 + 64*len(f.hostile))
	var s *Sound
	var err error
	if spent := allocatedBytes(func() { s, err = File(path) }); spent > capBytes {
		t.Errorf("a length that is not there cost %d bytes, more than %d", spent, capBytes)
	}
	if err == nil && !s.Truncated {
		t.Errorf("a length that is not there: %d frames, and neither an error nor a mark", s.Frames())
	}
}

// patched is a copy of data with other bytes from a place on.
func patched(data []byte, at int, with string) []byte {
	out := bytes.Clone(data)
	copy(out[at:], with)
	return out
}

func TestReaders(t *testing.T) {
	wav := testsound.WavBytes(1, 2, 48000, 24, testsound.Sine16(3, 48000, 400)) // the same bytes as 400 frames of 6
	aiff := aiffBytes("", 2, 48000, 24, testsound.Sine16(3, 48000, 400))
	flac := contents(t, recordings(t, "misc/drum_cowbell.flac")[0])
	flacFrames := int(be.Uint32(flac[22:])) // RFC 9639, 8.2: the lowest 32 of 36 bits
	mp3 := contents(t, recordings(t, "guitar-acoustic/A2.mp3")[0])
	mp3Tag := bytes.Index(mp3, []byte("Info"))
	vorbis := cowbell(t)
	mp3Frames := int(be.Uint32(mp3[mp3Tag+8:]))*1152 - decoderDelay // its encoder states no delay
	for _, f := range []readerFile{
		{name: "take.ogg", data: vorbis, format: "Ogg", channels: 1, rateHz: 44100, frames: flacFrames,
			hostile: withLastPosition(vorbis, 1<<40), lossy: true},
		{name: "take.wav", data: wav, format: "WAV", channels: 2, rateHz: 48000, frames: 400,
			hostile: patched(wav, 40, "\xf0\xff\xff\x7f")},
		{name: "take.aiff", data: aiff, format: "AIFF", channels: 2, rateHz: 48000, frames: 400,
			hostile: patched(patched(aiff, 22, "\x01\xff\xff\xff"), 42, "\x7f\xff\xff\xff")},
		{name: "take.flac", data: flac, format: "FLAC", channels: 1, rateHz: 44100, frames: flacFrames,
			hostile: patched(flac, 22, "\x04\x00\x00\x00")},
		{name: "take.mp3", data: mp3, format: "MP3", channels: 1, rateHz: 44100, frames: mp3Frames, lossy: true,
			hostile: patched(mp3, mp3Tag+8, "\x00\xff\xff\xff")},
	} {
		t.Run(f.format, func(t *testing.T) {
			withoutFFmpeg(t)
			testReader(t, f)
		})
	}
	t.Run("ffmpeg", func(t *testing.T) {
		folder := t.TempDir()
		original := fileOf(t, "original.wav", testsound.WavBytes(1, 2, 44100, 16, testsound.Sine16(2, 44100, 22050)))
		ffmpegMakes(t, "-i", original, "-c:a", "pcm_s16le", filepath.Join(folder, "take.mka"))
		testReader(t, readerFile{name: "take.mka", data: contents(t, filepath.Join(folder, "take.mka")),
			format: "Matroska", channels: 2, rateHz: 44100, frames: 22050, outside: true})
	})
}
