// Headers as the standards allow them and as writers leave them.

package wav

import (
	"bytes"
	"errors"
	"io"
	"reflect"
	"strings"
	"testing"
)

type layout struct {
	name string
	data []byte
	want Info
}

// layouts are readable files; also the fuzzer's seeds.
func layouts() []layout {
	six, twelve := le("abcdef"), le("abcdefghijkl")
	plain24 := plainFormat(1, 2, 48000, 24)
	stereo24 := Info{RateHz: 48000, Channels: 2, Encoding: Int24, Frames: 2, DataOffset: 44}
	at := func(info Info, offset int64) Info { info.DataOffset = offset; return info }
	as := func(rateHz, channels int, e Encoding, frames, offset int64) Info {
		return Info{RateHz: rateHz, Channels: channels, Encoding: e, Frames: frames, DataOffset: offset}
	}
	sampler := stereo24
	sampler.Sampler = &Sampler{RootKey: 60, FineCents: 50, Loops: []Loop{{0, 1}, {1, 1}}}
	return []layout{
		{"plain 24-bit", riff(plain24, padded("data", twelve)), stereo24},
		{"plain 8-bit mono", riff(plainFormat(1, 1, 8000, 8), padded("data", six)), as(8000, 1, Uint8, 6, 44)},
		{"plain 16-bit", riff(plainFormat(1, 2, 44100, 16), padded("data", twelve)), as(44100, 2, Int16, 3, 44)},
		{"plain 32-bit", riff(plainFormat(1, 1, 96000, 32), padded("data", twelve)), as(96000, 1, Int32, 3, 44)},
		{"plain float", riff(plainFormat(3, 1, 768000, 32), padded("data", twelve)), as(768000, 1, Float32, 3, 44)},
		{"plain double", riff(plainFormat(3, 1, 1, 64), padded("data", twelve)), as(1, 1, Float64, 1, 44)},
		{"20 bits in 3 bytes", riff(plainFormat(1, 2, 48000, 20), padded("data", twelve)), stereo24},
		{"extensible 24 in 32", riff(extensibleFormat(1, 1, 48000, 32, 24), padded("data", twelve)),
			as(48000, 1, Int32, 3, 68)},
		{"extensible, valid bits not stated", riff(extensibleFormat(1, 2, 48000, 24, 0), padded("data", twelve)),
			at(stereo24, 68)},
		{"extensible float", riff(extensibleFormat(3, 1, 48000, 32, 32), padded("data", twelve)),
			as(48000, 1, Float32, 3, 68)},
		{"surround", riff(extensibleFormat(1, 6, 48000, 16, 16), padded("data", twelve)), as(48000, 6, Int16, 1, 68)},
		{"18-byte fmt and fact", riff(padded("fmt ",
			le(uint16(3), uint16(1), uint32(48000), uint32(192000), uint16(4), uint16(32), uint16(0))),
			padded("fact", uint32(3)), padded("data", twelve)), as(48000, 1, Float32, 3, 58)},
		{"unknown chunks, one odd", riff(padded("JUNK", make([]byte, 28)), padded("odd ", "abc"), plain24,
			padded("data", twelve)), at(stereo24, 92)},
		{"data before fmt", riff(padded("data", twelve), plain24), at(stereo24, 20)},
		{"smpl behind data", riff(plain24, padded("data", twelve),
			samplerChunk(60, 1<<31, [2]uint32{0, 1}, [2]uint32{1, 1})), sampler},
		{"smpl ahead of all", riff(samplerChunk(60, 1<<31, [2]uint32{0, 1}, [2]uint32{1, 1}), plain24,
			padded("data", twelve)), at(sampler, 44+92)},
		{"a loop's end taken as exclusive", riff(plain24, padded("data", twelve),
			samplerChunk(60, 1<<31, [2]uint32{0, 2}, [2]uint32{1, 2})), sampler},
		{"odd data, its pad, then smpl", riff(plainFormat(1, 1, 8000, 8), padded("data", "abc"), samplerChunk(21, 0)),
			Info{RateHz: 8000, Channels: 1, Encoding: Uint8, Frames: 3, DataOffset: 44,
				Sampler: &Sampler{RootKey: 21}}},
		{"odd data, pad forgotten, then smpl",
			riff(plainFormat(1, 1, 8000, 8), sized("data", 3, "abc"), samplerChunk(21, 0)),
			Info{RateHz: 8000, Channels: 1, Encoding: Uint8, Frames: 3, DataOffset: 44,
				Sampler: &Sampler{RootKey: 21}}},
		{"odd data, last pad forgotten", riff(plainFormat(1, 1, 8000, 8), sized("data", 3, "abc")),
			as(8000, 1, Uint8, 3, 44)},
		{"part of a frame at the end", riff(plain24, padded("data", twelve, "xyz")), stereo24},
		{"no frames", riff(plain24, padded("data")), as(48000, 2, Int24, 0, 44)},
		{"no frames, then a list", riff(plain24, padded("data"), padded("LIST", "INFO")), as(48000, 2, Int24, 0, 44)},
		{"rubbish behind the sound", append(riff(plain24, padded("data", twelve)),
			"\x00\x01\x02\x03\x04\x05\x06\x07\x08\x09"...), stereo24},
		{"a cut list behind the sound", riff(plain24, padded("data", twelve), sized("LIST", 1000, "INFO")), stereo24},
		{"streamed, sizes of all ones", le("RIFF", uint32(0xFFFFFFFF), "WAVE", plain24,
			sized("data", 0xFFFFFFFF, twelve)), stereo24},
		{"streamed by SoX", le("RIFF", uint32(0x7FFFF044), "WAVE", plain24, sized("data", 0x7FFFEFFC, twelve)),
			stereo24},
		{"never closed, sizes 0", le("RIFF", uint32(0), "WAVE", plain24, sized("data", 0, twelve)), stereo24},
		{"never closed, size of an empty file", le("RIFF", uint32(36), "WAVE", plain24, sized("data", 0, twelve)),
			stereo24},
		{"RF64", rf64("RF64", ds64Chunk(80, 12, 2), plain24, sized("data", 0xFFFFFFFF, twelve)), at(stereo24, 80)},
		{"BW64", rf64("BW64", ds64Chunk(80, 12, 2), plain24, sized("data", 0xFFFFFFFF, twelve)), at(stereo24, 80)},
		{"RF64, small data in its own field", rf64("RF64", ds64Chunk(80, 12, 2), plain24, padded("data", twelve)),
			at(stereo24, 80)},
		{"RF64, another large chunk by the table", rf64("RF64", ds64Chunk(110, 12, 2, "big ", uint64(10)),
			sized("big ", 0xFFFFFFFF, "0123456789"), plain24, sized("data", 0xFFFFFFFF, twelve)), at(stereo24, 110)},
		{"RF64 never closed", rf64("RF64", ds64Chunk(0, 0, 0), plain24, sized("data", 0xFFFFFFFF, twelve)),
			at(stereo24, 80)},
		{"RF64 streamed", rf64("RF64", ds64Chunk(1<<64-1, 1<<64-1, 0), plain24, sized("data", 0xFFFFFFFF, twelve)),
			at(stereo24, 80)},
	}
}

func TestReadInfoLayouts(t *testing.T) {
	for _, l := range layouts() {
		t.Run(l.name, func(t *testing.T) {
			got, err := readInfo(l.data)
			if err != nil {
				t.Fatal(err)
			}
			if !reflect.DeepEqual(got, l.want) {
				t.Errorf("got %+v %+v\nwant %+v %+v", got, got.Sampler, l.want, l.want.Sampler)
			}
		})
	}
}

func TestReadInfoRefusals(t *testing.T) {
	data := padded("data", "abcdefghijkl")
	plain24 := plainFormat(1, 2, 48000, 24)
	withFormat := func(format []byte) []byte { return riff(format, data) }
	withSampler := func(sampler []byte) []byte { return riff(plain24, data, sampler) }
	strange := extensibleFormat(1, 1, 48000, 32, 32)
	copy(strange[8+24:], "\x01\x00\x00\x00\x21\x07\xd3\x11\x86\x44") // ambisonic B-format's GUID begins so
	for _, c := range []struct {
		name   string
		data   []byte
		chunk  string
		offset int64
		found  string
	}{
		{"no fmt", riff(data), "", 32, "no fmt chunk"},
		{"no data", riff(plain24), "", 36, "no data chunk"},
		{"rubbish ahead of the sound", riff(plain24, le("\x00\x01\x02\x03", uint32(0)), data), "", 36, "00 01 02 03"},
		{"short fmt", withFormat(padded("fmt ", make([]byte, 14))), "fmt ", 16, "14 bytes"},
		{"fmt beyond the end", le("RIFF", uint32(100), "WAVE", sized("fmt ", 0xFFFFFF00, "\x01\x00")), "fmt ", 16,
			"beyond the end"},
		{"no channels", withFormat(padded("fmt ", uint16(1), uint16(0), uint32(48000), uint32(0), uint16(0),
			uint16(24))), "fmt ", 22, "0 channels"},
		{"no rate", withFormat(plainFormat(1, 2, 0, 24)), "fmt ", 24, "0 Hz"},
		{"rate too high", withFormat(plainFormat(1, 2, 768001, 24)), "fmt ", 24, "768001 Hz"},
		{"odd frame size", withFormat(padded("fmt ", uint16(1), uint16(2), uint32(48000), uint32(0), uint16(8),
			uint16(24))), "fmt ", 32, "8 bytes a frame"},
		{"no bits", withFormat(plainFormat(1, 2, 48000, 0)), "fmt ", 34, "0 bits"},
		{"64-bit integers", withFormat(plainFormat(1, 2, 48000, 64)), "fmt ", 34, "64 bits"},
		{"16-bit floats", withFormat(plainFormat(3, 2, 48000, 16)), "fmt ", 34, "16 bits"},
		{"compressed", withFormat(plainFormat(0x11, 1, 48000, 4)), "fmt ", 20, "IMA ADPCM"},
		{"unheard-of tag", withFormat(plainFormat(0x1234, 1, 48000, 16)), "fmt ", 20, "0x1234"},
		{"short extensible", withFormat(padded("fmt ", uint16(0xFFFE), uint16(1), uint32(48000), uint32(0), uint16(2),
			uint16(16), uint16(0))), "fmt ", 16, "18 bytes"},
		{"strange subformat", withFormat(strange), "fmt ", 44, "subformat"},
		{"more valid bits than bits", withFormat(extensibleFormat(1, 1, 48000, 16, 24)), "fmt ", 38, "24 valid bits"},
		{"two fmt", riff(plain24, plain24, data), "fmt ", 36, "a second"},
		{"two data", riff(plain24, data, data), "data", 56, "a second"},
		{"short smpl", withSampler(padded("smpl", make([]byte, 30))), "smpl", 60, "30 bytes"},
		{"smpl beyond the end", withSampler(sized("smpl", 0x7FFFFFFF, "1234")), "smpl", 60, "beyond the end"},
		{"no such key", withSampler(samplerChunk(128, 0)), "smpl", 76, "the key 128"},
		{"loop beyond the sound", withSampler(samplerChunk(60, 0, [2]uint32{0, 3})), "smpl", 108, "frames 0 to 3"},
		{"loop backwards", withSampler(samplerChunk(60, 0, [2]uint32{1, 0})), "smpl", 108, "frames 1 to 0"},
		{"ds64 too short", rf64("RF64", padded("ds64", uint64(80)), plain24, data), "ds64", 20, "8 bytes"},
		{"nothing but chunk headers", riff(bytes.Repeat(padded("none"), 5000)), "", 12 + 8*maxChunks,
			"more than 4096 chunks"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := readInfo(c.data)
			wantFormatError(t, err, c.chunk, c.offset, c.found)
		})
	}
}

// A file that was cut short gives an error that says how much is there. A file whose writer could not know the size
// gives none.
func TestReadInfoTruncated(t *testing.T) {
	whole := riff(plainFormat(1, 2, 48000, 24), padded("data", make([]byte, 600)))
	for _, c := range []struct{ bytes, frames int64 }{{44, 0}, {45, 0}, {44 + 6, 1}, {44 + 599, 99}} {
		info, err := readInfo(whole[:c.bytes])
		var truncated *TruncatedError
		if !errors.As(err, &truncated) {
			t.Fatalf("%d bytes: error %v, want a *TruncatedError", c.bytes, err)
		}
		if truncated.DeclaredFrames != 100 || truncated.PresentFrames != c.frames || info.Frames != c.frames {
			t.Errorf("%d bytes: %d declared, %d present, Info has %d; want 100, %d, %d", c.bytes,
				truncated.DeclaredFrames, truncated.PresentFrames, info.Frames, c.frames, c.frames)
		}
		if !strings.HasPrefix(err.Error(), "take.wav: cut short: ") {
			t.Errorf("error %q does not name the file first", err)
		}
	}
	if _, err := readInfo(whole[:40]); err == nil {
		t.Error("a file cut within the data chunk's header was read without an error")
	}
}

type brokenDisk struct{ io.ReaderAt }

var errDisk = errors.New("sector not found")

func (d brokenDisk) ReadAt(p []byte, offset int64) (int, error) {
	if offset >= 12 {
		return 0, errDisk
	}
	return d.ReaderAt.ReadAt(p, offset)
}

func TestReadInfoReportsTheDisk(t *testing.T) {
	data := append(le("RIFF", uint32(10000), "WAVE"), make([]byte, 1000)...)
	for _, disk := range []io.ReaderAt{brokenDisk{bytes.NewReader(data)}, shortHead{data}} {
		_, err := ReadInfo(disk, int64(len(data)), "take.wav")
		if !errors.Is(err, errDisk) || !strings.HasPrefix(err.Error(), "take.wav: byte ") {
			t.Errorf("error %v, want the disk's, naming file and byte", err)
		}
	}
}

// shortHead gives the first 100 bytes of a read, then fails.
type shortHead struct{ data []byte }

func (d shortHead) ReadAt(p []byte, offset int64) (int, error) {
	n := copy(p[:min(len(p), 100)], d.data[offset:])
	return n, errDisk
}
