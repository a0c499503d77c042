// Files that look whole and are not: flipped bits, wrong checksums, files cut where nothing shows it.

package decode

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"math/rand/v2"
	"path/filepath"
	"testing"

	"lapstrake/mapping/testsound"
)

// One float in ten thousand with a flipped bit of its exponent: the sound is there, the wild samples are silence, and
// the builder hears of it. A file written to the scale of 16-bit integers is refused, with a mend.
func TestFloatsWithFlippedBits(t *testing.T) {
	const frames = 50000
	random := rand.New(rand.NewPCG(1, 2))
	raw := make([]byte, 4*frames)
	for i := range frames {
		binary.LittleEndian.PutUint32(raw[4*i:], math.Float32bits(float32(0.3*math.Sin(float64(i)*0.05))))
	}
	clean := mustDecode(t, fileOf(t, "clean.wav", testsound.WavBytes(3, 1, 48000, 32, raw)))
	if clean.NotFinite {
		t.Error("a sound without damage is called damaged")
	}
	for range 5 {
		raw[4*random.IntN(frames)+3] ^= 0x40
	}
	s := mustDecode(t, fileOf(t, "flipped.wav", testsound.WavBytes(3, 1, 48000, 32, raw)))
	if !s.NotFinite {
		t.Error("flipped bits are not told")
	}
	for i, x := range s.Channels[0] {
		if x > 1 || x < -1 {
			t.Fatalf("frame %d is %g after decoding", i, x)
		}
	}
	for i := range frames {
		binary.LittleEndian.PutUint32(raw[4*i:], math.Float32bits(float32(20000*math.Sin(float64(i)*0.05))))
	}
	wantRefusal(t, fileOf(t, "scaled.wav", testsound.WavBytes(3, 1, 48000, 32, raw)),
		"86 dB above full scale", "save it anew")
}

// RFC 9639: the MD5 in STREAMINFO is that of all samples (8.2); a frame ends with a CRC-16 (9.3).
func TestFLACWithWrongChecksums(t *testing.T) {
	data := contents(t, recordings(t, "misc/drum_cowbell.flac")[0])
	if s := mustDecode(t, fileOf(t, "whole.flac", data)); s.Damaged {
		t.Error("a whole file is called damaged")
	}
	wrongMD5 := bytes.Clone(data)
	wrongMD5[30] ^= 1
	if s := mustDecode(t, fileOf(t, "md5.flac", wrongMD5)); !s.Damaged {
		t.Error("a wrong MD5 is not told")
	}
	withoutMD5 := bytes.Clone(data)
	clear(withoutMD5[26:42])
	if s := mustDecode(t, fileOf(t, "none.flac", withoutMD5)); s.Damaged {
		t.Error("a file without MD5 is called damaged")
	}
	wrongCRC := bytes.Clone(data)
	wrongCRC[len(wrongCRC)-1] ^= 1
	if s, err := File(fileOf(t, "crc.flac", wrongCRC)); err == nil && !s.Damaged && !s.Truncated {
		t.Error("a wrong CRC of the last frame is not told")
	}
	// The first frame alone: our reader has nothing to keep, and ffmpeg plays it in silence.
	one := flacBytes(t, 1, 44100, 16, 4000, 16)
	one[len(one)-1] ^= 1
	if s, err := File(fileOf(t, "first.flac", one)); err == nil && !s.Damaged && !s.Truncated {
		t.Error("a wrong CRC of the first frame is not told")
	}
}

// oggPageBytes is a page of RFC 3533, 6, that holds body.
func oggPageBytes(flags byte, number uint32, body []byte) []byte {
	page := append([]byte("OggS\x00"), flags)
	page = binary.LittleEndian.AppendUint64(page, uint64(number)) // granule position
	page = binary.LittleEndian.AppendUint32(page, 77)             // serial number
	page = binary.LittleEndian.AppendUint32(page, number)
	page = append(page, 0, 0, 0, 0, 1, byte(len(body)))
	page = append(page, body...)
	binary.LittleEndian.PutUint32(page[22:], oggChecksum(page))
	return page
}

func TestOggPages(t *testing.T) {
	first, second, last := oggPageBytes(2, 0, []byte("one")), oggPageBytes(0, 1, []byte("two")),
		oggPageBytes(4, 2, []byte("three"))
	whole := bytes.Join([][]byte{first, second, last}, nil)
	flipped := bytes.Clone(whole)
	flipped[len(first)+28] ^= 4
	for _, c := range []struct {
		name               string
		data               []byte
		truncated, damaged bool
	}{
		{"whole", whole, false, false}, {"with a tag behind it",
			append(bytes.Clone(whole), "TAG and so on, longer than a page's header is"...), false, false},
		{"cut in a page", whole[:len(whole)-2], true, false},
		{"cut between pages", whole[:len(whole)-len(last)], true, false},
		{"without its second page", append(bytes.Clone(first), last...), false, true},
		{"with a flipped bit", flipped, false, true},
	} {
		if truncated, damaged := readOggPages(bytes.NewReader(c.data)); truncated != c.truncated ||
			damaged != c.damaged {
			t.Errorf("%s: truncated %v, damaged %v; want %v, %v", c.name, truncated, damaged, c.truncated, c.damaged)
		}
	}
}

// CRC of RFC 3533, 6; the check value of this CRC over "123456789" is that of CRC-32/MPEG-2 begun at 0 (computed by
// long division in the test, bit by bit).
func TestOggChecksum(t *testing.T) {
	text := []byte("123456789")
	remainder := uint64(0)
	for _, b := range append(bytes.Clone(text), 0, 0, 0, 0) {
		for bit := 7; bit >= 0; bit-- {
			remainder = remainder<<1 | uint64(b>>bit&1)
			if remainder&(1<<32) != 0 {
				remainder ^= 0x104c11db7
			}
		}
	}
	if got := oggChecksum(text); uint64(got) != remainder {
		t.Errorf("%08x, want %08x", got, remainder)
	}
}

// Every container that ffmpeg reads, cut at several places: whatever still decodes is marked.
func TestCutContainers(t *testing.T) {
	original := fileOf(t, "original.wav", testsound.WavBytes(1, 2, 44100, 16, testsound.Sine16(2, 44100, 88200)))
	folder := t.TempDir()
	names := []string{"take.ogg", "take.opus", "take.au", "take.voc", "take.caf", "take.w64", "take.tta", "take.wv",
		"take.mka", "faststart.m4a"}
	outputs := []string{"-i", original}
	for _, name := range names {
		switch name {
		case "take.ogg":
			outputs = append(outputs, "-c:a", "libvorbis")
		case "take.voc":
			outputs = append(outputs, "-c:a", "pcm_s16le")
		case "faststart.m4a":
			outputs = append(outputs, "-movflags", "faststart")
		}
		outputs = append(outputs, filepath.Join(folder, name))
	}
	ffmpegMakes(t, outputs...)
	for _, name := range names {
		data := contents(t, filepath.Join(folder, name))
		if s := mustDecode(t, filepath.Join(folder, name)); s.Truncated || s.Damaged {
			t.Errorf("%s: whole, and yet truncated %v, damaged %v", name, s.Truncated, s.Damaged)
		}
		for _, share := range []float64{0.5, 0.8} {
			cut := int(share*float64(len(data))) / 4096 * 4096 // where recorders write, and no packet is broken
			if s, err := File(fileOf(t, name, data[:cut])); err == nil && !s.Truncated {
				t.Errorf("%s cut at %d of %d bytes: %d frames, and no mark", name, cut, len(data), s.Frames())
			}
		}
	}
}

// Frames are cut off at the end where nothing but the header, or the missing end, tells of it: a few frames of AU,
// which is less than ffmpeg's clock shows; VOC behind each of its blocks.
func TestCutWhereNothingShows(t *testing.T) {
	original := fileOf(t, "original.wav", testsound.WavBytes(1, 2, 44100, 16, testsound.Sine16(2, 44100, 20000)))
	folder := t.TempDir()
	auPath, vocPath := filepath.Join(folder, "take.au"), filepath.Join(folder, "take.voc")
	ffmpegMakes(t, "-i", original, auPath, "-c:a", "pcm_s16le", vocPath)
	au, voc := contents(t, auPath), contents(t, vocPath)
	cuts := map[string][]byte{"take.au": au[:len(au)-40*4]}
	blocks := 0
	for at := 26; voc[at] != 0; { // a type, a size of 24 bits, the content
		at += 4 + int(voc[at+1]) + int(voc[at+2])<<8 + int(voc[at+3])<<16
		if blocks++; blocks%5 == 0 {
			cuts[fmt.Sprintf("%d blocks.voc", blocks)] = voc[:at]
		}
	}
	if len(cuts) < 4 {
		t.Fatalf("%d blocks, want some to cut between", blocks)
	}
	for name, data := range cuts {
		if s := mustDecode(t, fileOf(t, name, data)); !s.Truncated {
			t.Errorf("%s: %d frames, and no mark", name, s.Frames())
		}
	}
	// A stream that was written while its length was not known says −1, and is whole.
	for name, data := range map[string][]byte{"whole.au": au, "whole.voc": voc,
		"stream.au": patched(au, 8, "\xff\xff\xff\xff")} {
		if s := mustDecode(t, fileOf(t, name, data)); s.Truncated {
			t.Errorf("%s is called cut off", name)
		}
	}
}
