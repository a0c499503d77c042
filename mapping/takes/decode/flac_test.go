// FLAC: proved by the MD5 that the encoder left in the file, and by files made for odd forms.

package decode

import (
	"bytes"
	"crypto/md5"
	"encoding/binary"
	"fmt"
	"log"
	"math"
	"testing"

	"github.com/mewkiz/flac"
	"github.com/mewkiz/flac/frame"
	"github.com/mewkiz/flac/meta"
)

// RFC 9639, 8.2: the last 16 bytes of STREAMINFO are the MD5 of the samples, interleaved, little-endian, in whole
// bytes. They stand 26 bytes from the file's start: 4 of "fLaC", 4 of block header, 18 of STREAMINFO.
func TestFLACAgainstItsMD5(t *testing.T) {
	for _, path := range recordings(t, "misc/*.flac") {
		data := contents(t, path)
		bits := int(data[20]&1)<<4 | int(data[21]>>4) + 1
		s := mustDecode(t, path)
		if s.Format != "FLAC" || s.Bits != bits || s.Truncated {
			t.Errorf("%s: %s of %d bits, truncated %v; want FLAC of %d bits", path, s.Format, s.Bits,
				s.Truncated, bits)
		}
		if got, want := md5Of(s), [16]byte(data[26:42]); got != want {
			t.Errorf("%s: the decoded samples' MD5 is %x, the file says %x", path, got, want)
		}
	}
}

func md5Of(s *Sound) [16]byte {
	var raw []byte
	for i := range s.Frames() {
		for _, channel := range s.Channels {
			sample := int32(math.Round(float64(channel[i]) * math.Pow(2, float64(s.Bits-1))))
			raw = append(raw, binary.LittleEndian.AppendUint32(nil, uint32(sample))[:(s.Bits+7)/8]...)
		}
	}
	return md5.Sum(raw)
}

// flacBytes is a file in which frame i of channel c is i·(c+1), encoded verbatim.
func flacBytes(t *testing.T, channels, rateHz, bits, frames int, headerBits uint8) []byte {
	t.Helper()
	var out bytes.Buffer
	encoder, err := flac.NewEncoder(&out, &meta.StreamInfo{
		BlockSizeMin: uint16(frames), BlockSizeMax: uint16(frames), SampleRate: uint32(rateHz),
		NChannels:     uint8(channels),
		BitsPerSample: uint8(bits), NSamples: uint64(frames),
	})
	if err != nil {
		t.Fatal(err)
	}
	block := &frame.Frame{Header: frame.Header{
		HasFixedBlockSize: true, BlockSize: uint16(frames), SampleRate: uint32(rateHz),
		Channels: frame.Channels(channels - 1), BitsPerSample: headerBits,
	}}
	for c := range channels {
		samples := make([]int32, frames)
		for i := range samples {
			samples[i] = int32(i * (c + 1))
		}
		block.Subframes = append(block.Subframes,
			&frame.Subframe{SubHeader: frame.SubHeader{Pred: frame.PredVerbatim}, Samples: samples, NSamples: frames})
	}
	if err := encoder.WriteFrame(block); err != nil {
		t.Fatal(err)
	}
	if err := encoder.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// One sample, five and eight channels, low and high rates, 8, 20 and 24 bits; and not a word of it on the log, where
// the library complains of a lack of examples at 24 and 176.4 kHz.
func TestFLACForms(t *testing.T) {
	var logged bytes.Buffer
	defer log.SetOutput(log.Writer())
	log.SetOutput(&logged)
	log.SetOutput(flacHush{log.Writer()}) // what hushFLAC does once in a program's life
	for _, c := range []struct{ channels, rateHz, bits, frames int }{
		{1, 8000, 8, 16}, {5, 48000, 16, 30}, {8, 192000, 24, 20}, {2, 24000, 20, 25}, {2, 176400, 16, 40},
		{1, 22254, 16, 17},
	} {
		s := mustDecode(t, fileOf(t, "take.flac", flacBytes(t, c.channels, c.rateHz, c.bits, c.frames, uint8(c.bits))))
		if s.RateHz != c.rateHz || s.Bits != c.bits || len(s.Channels) != c.channels || s.Frames() != c.frames {
			t.Errorf("%+v: %d Hz, %d bits, %d channels, %d frames", c, s.RateHz, s.Bits, len(s.Channels), s.Frames())
			continue
		}
		for channel := range s.Channels {
			i := c.frames - 1
			if got, want := s.Channels[channel][i], float32(i*(channel+1))/float32(int(1)<<(c.bits-1)); got != want {
				t.Errorf("%+v: channel %d, frame %d: %v, want %v", c, channel, i, got, want)
			}
		}
	}
	if logged.Len() > 0 {
		t.Errorf("logged: %s", logged.String())
	}
	fmt.Fprint(flacHush{&logged}, "something else")
	if logged.String() != "something else" {
		t.Errorf("a line of others became %q", logged.String())
	}
}

// A damaged block ends the sound there: each has a CRC, so nothing wrong is ever heard.
func TestFLACDamagedInTheMiddle(t *testing.T) {
	withoutFFmpeg(t)
	path := recordings(t, "misc/ambi_choir.flac")[0]
	whole, data := mustDecode(t, path), contents(t, path)
	data[len(data)/2] ^= 0x10
	s := mustDecode(t, fileOf(t, "bad.flac", data))
	if !s.Truncated || s.Frames() >= whole.Frames() || s.Frames() < whole.Frames()/4 {
		t.Errorf("%d of %d frames, truncated: %v", s.Frames(), whole.Frames(), s.Truncated)
	}
	for i, sample := range s.Channels[0] {
		if sample != whole.Channels[0][i] {
			t.Fatalf("frame %d is %v, want %v", i, sample, whole.Channels[0][i])
		}
	}
}
