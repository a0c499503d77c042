// AIFF files built field by field after Apple's descriptions (AIFF 1.3, 1989; AIFF-C, 1991).

package decode

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"math"
	"strings"
	"testing"

	"lapstrake/mapping/testsound"
	"lapstrake/mapping/wav"
)

var (
	be = binary.BigEndian
	le = binary.LittleEndian
)

// extended is an 80-bit number: exponent with bias 16383, mantissa with the leading 1 written out.
func extended(rateHz int) []byte {
	if rateHz == 0 {
		return make([]byte, 10)
	}
	fraction, exponent := math.Frexp(float64(rateHz)) // 0.5 <= fraction < 1
	return testsound.Joined(be, uint16(16383+exponent-1), uint64(fraction*(1<<63))<<1)
}

func aiffChunkBytes(id string, content []byte) []byte {
	out := testsound.Joined(be, id, uint32(len(content)), content)
	if len(content)%2 != 0 {
		out = append(out, 0)
	}
	return out
}

// aiffForm puts chunks into an AIFF form, or into an AIFF-C form when a compression is named.
func aiffForm(compression string, chunks ...[]byte) []byte {
	kind := "AIFF"
	if compression != "" {
		kind = "AIFC"
	}
	body := bytes.Join(chunks, nil)
	return testsound.Joined(be, "FORM", uint32(4+len(body)), kind, body)
}

func aiffCommonBytes(compression string, channels, frames, rateHz, bits int) []byte {
	common := testsound.Joined(be, uint16(channels), uint32(frames), uint16(bits), extended(rateHz))
	if compression != "" {
		common = testsound.Joined(be, common, compression, "\x00\x00")
	}
	return aiffChunkBytes("COMM", common)
}

func aiffBytes(compression string, channels, rateHz, bits int, samples []byte) []byte {
	frames := len(samples) / max(1, channels*((bits+7)/8))
	return aiffForm(compression, aiffCommonBytes(compression, channels, frames, rateHz, bits),
		aiffChunkBytes("SSND", testsound.Joined(be, uint32(0), uint32(0), samples)))
}

func TestAIFFStorage(t *testing.T) {
	withoutFFmpeg(t)
	for _, c := range []struct {
		compression string
		bits        int
		samples     string
		want        []float32
		wantBits    int
		float       bool
	}{
		{"", 8, "\x00\x80\x40\xff", []float32{0, -1, 0.5, -1. / 128}, 8, false},
		{"", 12, "\x40\x00\x80\x00", []float32{0.5, -1}, 12, false}, // left-justified in two bytes
		{"", 16, "\x40\x00\x80\x00\x00\x01", []float32{0.5, -1, 1. / 32768}, 16, false},
		{"", 24, "\x40\x00\x00\x80\x00\x00\x00\x00\x01", []float32{0.5, -1, 1. / (1 << 23)}, 24, false},
		{"", 32, "\x40\x00\x00\x00\x80\x00\x00\x00", []float32{0.5, -1}, 32, false},
		{"NONE", 16, "\x40\x00", []float32{0.5}, 16, false},
		{"twos", 16, "\x40\x00", []float32{0.5}, 16, false},
		{"sowt", 16, "\x00\x40\x01\x00", []float32{0.5, 1. / 32768}, 16, false},
		{"sowt", 24, "\x00\x00\x40", []float32{0.5}, 24, false},
		{"raw ", 8, "\x80\x00\xc0", []float32{0, -1, 0.5}, 8, false},
		{"in24", 24, "\x40\x00\x00", []float32{0.5}, 24, false},
		{"in32", 32, "\x40\x00\x00\x00", []float32{0.5}, 32, false},
		{"42ni", 24, "\x00\x00\x40", []float32{0.5}, 24, false},
		{"23ni", 32, "\x00\x00\x00\x40", []float32{0.5}, 32, false},
		{"fl32", 32, "\x3f\x00\x00\x00\xc0\x00\x00\x00", []float32{0.5, -2}, 32, true},
		{"FL32", 32, "\x3f\x00\x00\x00", []float32{0.5}, 32, true},
		{"fl64", 64, "\x3f\xe0\x00\x00\x00\x00\x00\x00", []float32{0.5}, 64, true},
		// ITU-T G.711, tables 1a, 1b
		{"alaw", 8, "\xaa\x2a\xd5", []float32{4032. / 4096, -4032. / 4096, 1. / 4096}, 8, false},
		{"ulaw", 8, "\x80\x00\xff", []float32{8031. / 8192, -8031. / 8192, 0}, 8, false}, // tables 2a, 2b
	} {
		s := mustDecode(t, fileOf(t, "take.aif", aiffBytes(c.compression, 1, 48000, c.bits, []byte(c.samples))))
		if s.Format != "AIFF" || s.Bits != c.wantBits || s.Float != c.float || s.RateHz != 48000 || s.Truncated ||
			s.Frames() != len(c.want) {
			t.Errorf("%q, %d bits: %+v", c.compression, c.bits, *s)
			continue
		}
		for i, want := range c.want {
			if got := s.Channels[0][i]; got != want {
				t.Errorf("%q, %d bits: sample %d is %v, want %v", c.compression, c.bits, i, got, want)
			}
		}
	}
	wantRefusal(t, fileOf(t, "take.aif", aiffBytes("MAC3", 1, 22050, 8, make([]byte, 40))), "COMM chunk, byte 38",
		`"MAC3"`, "convert it")
	wantRefusal(t, fileOf(t, "take.aif", aiffBytes("", 1, 22050, 40, make([]byte, 40))),
		"integers of 40 bits", "1 to 32")
}

// Rates as 80-bit numbers: bytes written by general programs, and Apple's 22254.5454… Hz.
func TestAIFFRate(t *testing.T) {
	for bytes, want := range map[string]int{
		"\x40\x0e\xac\x44\x00\x00\x00\x00\x00\x00": 44100,
		"\x40\x0d\xac\x44\x00\x00\x00\x00\x00\x00": 22050,
		"\x40\x0e\xbb\x80\x00\x00\x00\x00\x00\x00": 48000,
		"\x40\x0b\xfa\x00\x00\x00\x00\x00\x00\x00": 8000,
		"\x40\x10\xbb\x80\x00\x00\x00\x00\x00\x00": 192000,
		"\x40\x0d\xad\xdd\x17\x45\xd1\x45\x82\x6b": 22255,
		"\x3f\xff\x80\x00\x00\x00\x00\x00\x00\x00": 1,
		"\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00": 0,
		"\x7f\xff\x80\x00\x00\x00\x00\x00\x00\x00": 0, // infinity
		"\x7f\xff\xff\xff\xff\xff\xff\xff\xff\xff": 0, // not a number
		"\xc0\x0e\xac\x44\x00\x00\x00\x00\x00\x00": 0, // −44100
		"\x40\x3e\xff\xff\xff\xff\xff\xff\xff\xff": 0, // 1.8e19
	} {
		if got := rateOf([]byte(bytes)); got != want {
			t.Errorf("% x is %d Hz, want %d", bytes, got, want)
		}
	}
}

// Chunks in any order, an odd one with its pad byte, an offset before the sound, junk behind it.
func TestAIFFLayouts(t *testing.T) {
	withoutFFmpeg(t)
	sound := func(offset int) []byte {
		return aiffChunkBytes("SSND", testsound.Joined(be, uint32(offset), uint32(512), make([]byte, offset),
			"\x40\x00\xc0\x00"))
	}
	common, odd := aiffCommonBytes("", 2, 1, 96000, 16), aiffChunkBytes("NAME", []byte("oar"))
	for name, data := range map[string][]byte{
		"sound first": aiffForm("", sound(0), odd, common),
		"odd chunk":   aiffForm("", odd, common, odd, sound(0)),
		"offset":      aiffForm("", common, sound(6)),
		"junk behind": append(aiffForm("", common, sound(0)), "\x00\x01\xff"...),
	} {
		s := mustDecode(t, fileOf(t, "take.aif", data))
		if s.Truncated || s.RateHz != 96000 || s.Frames() != 1 || s.Channels[0][0] != 0.5 || s.Channels[1][0] != -0.5 {
			t.Errorf("%s: %+v", name, *s)
		}
	}
}

// A recorder that was cut off leaves sizes of 0, or ones beyond the end of the file: what is there is read.
func TestAIFFUnfinished(t *testing.T) {
	withoutFFmpeg(t)
	samples := "\x40\x00\x20\x00\x10\x00"
	unclosed := testsound.Joined(be, "FORM", uint32(0), "AIFF", aiffCommonBytes("", 1, 0, 48000, 16), "SSND",
		uint32(0), uint64(0), samples)
	beyond := testsound.Joined(be, "FORM", uint32(1000), "AIFF", aiffCommonBytes("", 1, 400, 48000, 16), "SSND",
		uint32(808), uint64(0), samples, "\x10")
	for name, data := range map[string][]byte{"unclosed": unclosed, "beyond": beyond} {
		s := mustDecode(t, fileOf(t, "take.aif", data))
		if !s.Truncated || s.Frames() != 3 || s.Channels[0][1] != 0.25 {
			t.Errorf("%s: %+v", name, *s)
		}
	}
}

// A disk that fails is named as such, not taken for a short file.
func TestAIFFBrokenDisk(t *testing.T) {
	data := aiffBytes("", 1, 48000, 16, make([]byte, 100_000))
	broken := errors.New("input/output error")
	in := &input{path: "take.aif", r: failingReader{bytes.NewReader(data), 50_000, broken}, size: int64(len(data)),
		head: data[:512], out: output{path: "take.aif", to: &keeper{mostSamples: maxSamples}}}
	if _, err := decodeAIFF(in); !errors.Is(err, broken) || !strings.HasPrefix(err.Error(), "take.aif: ") {
		t.Errorf("error %v, want %v of take.aif", err, broken)
	}
}

type failingReader struct {
	io.ReaderAt
	from int64
	err  error
}

func (r failingReader) ReadAt(p []byte, at int64) (int, error) {
	if at+int64(len(p)) > r.from {
		return 0, r.err
	}
	return r.ReaderAt.ReadAt(p, at)
}

func FuzzAIFF(f *testing.F) {
	for _, compression := range []string{"", "sowt", "fl64", "alaw", "42ni", "ACE2"} {
		f.Add(aiffBytes(compression, 2, 44100, 24, make([]byte, 24)))
	}
	f.Add(testsound.Joined(be, "FORM", uint32(0), "AIFF", aiffCommonBytes("", 1, 0, 48000, 16), "SSND", uint32(0),
		uint64(0), "abcd"))
	f.Add(aiffForm("", aiffCommonBytes("", 8, math.MaxUint32, 8000, 32),
		testsound.Joined(be, "SSND\xff\xff\xff\xff", uint32(math.MaxUint32), uint32(0))))
	f.Fuzz(func(t *testing.T, data []byte) {
		kept := &keeper{mostSamples: maxSamples}
		in := &input{path: "take.aif", r: bytes.NewReader(data), size: int64(len(data)), head: data,
			out: output{path: "take.aif", to: kept}}
		s, err := decodeAIFF(in)
		if err != nil {
			var format *wav.FormatError
			if errors.As(err, &format) && (format.Found == "" || format.Expected == "" || format.Mend == "") {
				t.Fatalf("error %q lacks a part", err)
			}
			return
		}
		s.Channels = kept.channels
		if s.Frames()*len(s.Channels) > len(data) {
			t.Fatalf("%d bytes give %d frames of %d channels", len(data), s.Frames(), len(s.Channels))
		}
		if s.Frames() > 0 {
			checkSound(t, "take.aif", s)
		}
	})
}
