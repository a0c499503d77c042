// MP3: lengths by the tags in the stream, samples against ffmpeg's decoder.

package decode

import (
	"bytes"
	"fmt"
	"math"
	"path/filepath"
	"testing"

	"lapstrake/mapping/testsound"
)

// The recordings are 77 frames of 1152 samples behind an Info tag whose encoder states no delay: 529 samples
// of the decoder's own are cut. Delay and padding as a LAME tag states them come off too.
func TestMP3Length(t *testing.T) {
	withoutFFmpeg(t)
	const frames = 77 * 1152
	data := contents(t, recordings(t, "flute/C4.mp3")[0])
	tag := bytes.Index(data, []byte("Lavf\x00\x00")) // the encoder's tag, not the title of the ID3 one
	if tag < 0 {
		t.Fatal("the recording has no encoder's tag")
	}
	for _, c := range []struct{ delay, padding, want int }{
		{0, 0, frames - 529}, {576, 1105, frames - 576 - 1105}, {1105, 700, frames - 1105 - 700},
		{4095, 4095, frames - 8190},
	} {
		copy(data[tag+21:], []byte{byte(c.delay >> 4), byte(c.delay<<4) | byte(c.padding>>8), byte(c.padding)})
		s := mustDecode(t, fileOf(t, "take.mp3", data))
		if s.Frames() != c.want || s.RateHz != 44100 || len(s.Channels) != 1 || s.Bits != 0 || s.Truncated {
			t.Errorf("delay %d, padding %d: %d frames at %d Hz, %d channels; want %d mono at 44100", c.delay,
				c.padding, s.Frames(), s.RateHz, len(s.Channels), c.want)
		}
	}
	plain := mustDecode(t, fileOf(t, "plain.mp3",
		data[bytes.LastIndex(data[:tag], []byte{0xff, 0xfb})+mp3Header(0xfffbb0c0).frameBytes():]))
	if plain.Frames() != frames || plain.Truncated {
		t.Errorf("without the Info frame: %d frames, want %d", plain.Frames(), frames)
	}
}

// Tags behind the sound, and junk ahead of it, are not decoded.
func TestMP3Surroundings(t *testing.T) {
	withoutFFmpeg(t)
	data := contents(t, recordings(t, "guitar-acoustic/E2.mp3")[0])
	whole := mustDecode(t, fileOf(t, "take.mp3", data))
	id3v1 := append([]byte("TAG"), bytes.Repeat([]byte{0xff, 0xfb, 0xb0}, 41)...)
	id3v1 = append(id3v1, 0, 0)
	item := bytes.Repeat([]byte{0xff, 0xfb, 0xb0, 0xc0}, 25)
	ape := testsound.Joined(le, item, "APETAGEX", uint32(2000), uint32(len(item)+32), uint32(1), uint32(0), uint64(0))
	for name, changed := range map[string][]byte{
		"ID3v1":         append(bytes.Clone(data), id3v1...),
		"APE and ID3v1": append(append(bytes.Clone(data), ape...), id3v1...),
		"junk ahead":    append(bytes.Repeat([]byte{0, 7, 0xff}, 500), data[45:]...),
	} {
		if off := farthest(t, mustDecode(t, fileOf(t, "take.mp3", changed)), whole); off != 0 {
			t.Errorf("%s: off by %v", name, off)
		}
	}
}

func TestMP3Header(t *testing.T) {
	for _, c := range []struct {
		header                         mp3Header
		rateHz, channels, bytes, valid int
	}{
		{0xFFFBB0C0, 44100, 1, 626, 1}, // MPEG-1, 192 kbit/s: 144·192000/44100 (ISO/IEC 11172-3, 2.4.3.1)
		{0xFFFB9264, 44100, 2, 418, 1}, // 128 kbit/s, padded, joint stereo
		{0xFFF384C4, 24000, 1, 192, 1}, // MPEG-2, 64 kbit/s: 72·64000/24000 (ISO/IEC 13818-3, 2.4.3.1)
		{0xFFE32000, 11025, 2, 104, 1}, // MPEG-2.5, 16 kbit/s
		{0xFFFD9064, 0, 0, 0, 0},       // layer II
		{0xFFFB0064, 0, 0, 0, 0},       // free format
		{0xFFFBF064, 0, 0, 0, 0},       // no such bit rate
		{0xFFFBBCC0, 0, 0, 0, 0},       // no such sampling rate
		{0xFFF1508 << 4, 0, 0, 0, 0},   // AAC in ADTS
	} {
		if c.header.valid() != (c.valid == 1) {
			t.Errorf("%08x: valid %v", uint32(c.header), c.header.valid())
		} else if c.valid == 1 && (c.header.rateHz() != c.rateHz || c.header.channels() != c.channels ||
			c.header.frameBytes() != c.bytes) {
			t.Errorf("%08x: %d Hz, %d channels, %d bytes; want %+v", uint32(c.header), c.header.rateHz(),
				c.header.channels(), c.header.frameBytes(), c)
		}
	}
}

// The same samples as ffmpeg decodes, in the same places; the library's 16 bits are all that may differ.
func TestMP3AgainstFFmpeg(t *testing.T) {
	for _, path := range []string{recordings(t, "flute/A4.mp3")[0], recordings(t, "bassoon/A2.mp3")[0],
		recordings(t, "guitar-acoustic/E2.mp3")[0]} {
		reference := filepath.Join(t.TempDir(), "reference.wav")
		ffmpegMakes(t, "-i", path, "-c:a", "pcm_f32le", reference)
		if off := farthest(t, mustDecode(t, path), mustDecode(t, reference)); off > 2./32768 {
			t.Errorf("%s: off by %v", path, off)
		}
	}
}

// What is encoded comes back as long as it was, in its place, in mono and stereo, MPEG-1, 2 and (through ffmpeg) 2.5.
func TestMP3RoundTrip(t *testing.T) {
	for _, c := range []struct {
		channels, rateHz int
		mode             string
	}{{1, 44100, "-q:a"}, {2, 44100, "-b:a"}, {2, 22050, "-q:a"}, {1, 8000, "-b:a"}} {
		t.Run(fmt.Sprint(c), func(t *testing.T) {
			frames := c.rateHz*2 + 77
			original := fileOf(t, "original.wav",
				testsound.WavBytes(1, c.channels, c.rateHz, 16, testsound.Sine16(c.channels, c.rateHz, frames)))
			encoded := filepath.Join(t.TempDir(), "take.mp3")
			ffmpegMakes(t, "-i", original, "-c:a", "libmp3lame", c.mode,
				map[string]string{"-q:a": "1", "-b:a": "64k"}[c.mode], encoded)
			s, want := mustDecode(t, encoded), mustDecode(t, original)
			if s.Frames() != frames || len(s.Channels) != c.channels || s.RateHz != c.rateHz || s.Format != "MP3" {
				t.Fatalf("%d frames of %d channels at %d Hz (%s), want %d", s.Frames(), len(s.Channels), s.RateHz,
					s.Format, frames)
			}
			// Encoders scale by a little; the noise is what no gain explains.
			var energy, common, wanted float64
			for channel := range s.Channels {
				for i := 2000; i < frames-2000; i++ {
					got, want := float64(s.Channels[channel][i]), float64(want.Channels[channel][i])
					energy, common, wanted = energy+got*got, common+got*want, wanted+want*want
				}
			}
			match := common * common / (energy * wanted)
			if snr := 10 * math.Log10(match/(1-match)); snr < 40 {
				t.Errorf("signal to noise %.1f dB, want 40 or more", snr)
			}
		})
	}
}
