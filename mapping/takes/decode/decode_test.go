// Decode by content: any name, any kind of trouble, sources untouched.

package decode

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"lapstrake/mapping/testsound"
)

func TestDecodeWAVKinds(t *testing.T) {
	withoutFFmpeg(t)
	for _, c := range []struct {
		tag      uint16
		bits     int
		float    bool
		samples  string
		want     []float32
		channels int
	}{
		{1, 8, false, "\x80\x00\xc0\x40", []float32{0, -1, 0.5, -0.5}, 1},
		{1, 16, false, "\x00\x80\x00\x40", []float32{-1, 0.5}, 2},
		{1, 24, false, "\x00\x00\x80\x00\x00\x40\x00\x00\xe0", []float32{-1, 0.5, -0.25}, 3},
		{1, 32, false, "\x00\x00\x00\x80", []float32{-1}, 1}, // one sample
		{3, 32, true, "\x00\x00\x80\x3f\x00\x00\x00\xc0", []float32{1, -2}, 1},
		{3, 64, true, "\x00\x00\x00\x00\x00\x00\xe0\x3f", []float32{0.5}, 1},
		{6, 8, false, "\xaa\x2a", []float32{4032. / 4096, -4032. / 4096}, 1}, // G.711: the largest values
		{7, 8, false, "\x80\x00", []float32{8031. / 8192, -8031. / 8192}, 1},
	} {
		s := mustDecode(t, fileOf(t, "take.wav",
			testsound.WavBytes(c.tag, c.channels, 44100, c.bits, []byte(c.samples))))
		if s.Format != "WAV" || s.Bits != c.bits || s.Float != c.float || s.RateHz != 44100 || s.Truncated ||
			s.NotFinite || len(s.Channels) != c.channels {
			t.Errorf("tag %d, %d bits: %+v", c.tag, c.bits, *s)
		}
		for i, want := range c.want {
			if got := s.Channels[i%c.channels][i/c.channels]; got != want {
				t.Errorf("tag %d, %d bits: sample %d is %v, want %v", c.tag, c.bits, i, got, want)
			}
		}
	}
}

func TestDecodeOddForms(t *testing.T) {
	for _, c := range []struct{ channels, rateHz, frames int }{{1, 8000, 1}, {5, 48000, 10_000}, {2, 192000, 50_000},
		{8, 44100, 3}, {1, 11025, 16385}} {
		data := testsound.Sine16(c.channels, c.rateHz, c.frames)
		s := mustDecode(t, fileOf(t, "take.wav", testsound.WavBytes(1, c.channels, c.rateHz, 16, data)))
		if s.RateHz != c.rateHz || len(s.Channels) != c.channels || s.Frames() != c.frames ||
			math.Abs(s.Seconds()-float64(c.frames)/float64(c.rateHz)) > 1e-12 {
			t.Errorf("%+v: %d channels, %d frames at %d Hz", c, len(s.Channels), s.Frames(), s.RateHz)
		}
		for channel := range s.Channels {
			for i, got := range s.Channels[channel] {
				want := 0.5 * math.Sin(2*math.Pi*float64(channel+1)*100*float64(i)/float64(c.rateHz))
				if math.Abs(float64(got)-want) > 1./16384 {
					t.Fatalf("%+v: channel %d, frame %d: %v, want %v", c, channel, i, got, want)
				}
			}
		}
	}
}

// The name says one thing, the bytes another: the bytes are right.
func TestDecodeGoesByContent(t *testing.T) {
	withoutFFmpeg(t)
	wave := testsound.WavBytes(1, 1, 48000, 16, testsound.Sine16(1, 48000, 100))
	id3 := testsound.Joined(be, "ID3\x03\x00\x00", []byte{0, 0, 1, 2}, make([]byte, 130)) // 1·128 + 2 bytes follow
	for name, data := range map[string][]byte{
		"WAV": wave, "AIFF": aiffBytes("", 1, 48000, 16, make([]byte, 200)),
		"FLAC": contents(t, recordings(t, "misc/drum_cowbell.flac")[0]),
		"MP3":  contents(t, recordings(t, "flute/A4.mp3")[0]),
	} {
		for _, as := range []string{"take.wav", "take.mp3", "take", "-i.flac", "take.txt", "http:take.aif"} {
			for _, prefix := range [][]byte{nil, id3} {
				if s := mustDecode(t, fileOf(t, as, append(prefix, data...))); s.Format != name || s.Truncated {
					t.Errorf("a %s file named %s (behind %d bytes of tag) is decoded as %s, truncated: %v", name, as,
						len(prefix), s.Format, s.Truncated)
				}
			}
		}
	}
}

func TestDecodeRefusals(t *testing.T) {
	noise := make([]byte, 100_000)
	source := rand.NewChaCha8([32]byte{7})
	source.Read(noise)
	files := map[string]struct {
		data  []byte
		words []string
	}{
		"empty.wav":  {nil, []string{"an empty file", "get the file again"}},
		"zeros.flac": {make([]byte, 5000), []string{"zero bytes", "get the file again"}},
		"text.mp3":   {[]byte("bring the recorder on Monday\n"), []string{"a text file"}},
		"page.wav":   {[]byte("<html><body>404</body></html>"), []string{"a text file"}},
		"list.m3u8":  {[]byte("#EXTM3U\n#EXTINF:1,\nother.wav\n"), []string{"a text file"}},
		"noise.mp3":  {noise, []string{"bytes "}},
		"short.wav":  {[]byte("RIFF"), []string{"found"}},
		"head.aiff":  {[]byte("FORM\x00\x00\x00\x04AIFF"), []string{"no COMM chunk"}},
		"head.wav":   {[]byte("RIFF\x04\x00\x00\x00WAVE"), []string{"no fmt chunk"}},
		"head.flac":  {[]byte("fLaC"), []string{"FLAC header"}},
		"none.wav":   {testsound.WavBytes(1, 1, 48000, 16, nil), []string{"without a single frame"}},
		"none.aiff":  {aiffBytes("", 1, 48000, 16, nil), []string{"without a single frame"}},
		"norate.aif": {aiffBytes("", 1, 0, 16, make([]byte, 4)), []string{"a rate of 0 Hz", "1 to 768000"}},
		"nochan.aif": {aiffBytes("", 0, 48000, 16, make([]byte, 4)), []string{"0 channels"}},
	}
	for _, installed := range []bool{true, false} {
		t.Run(fmt.Sprintf("ffmpeg=%v", installed), func(t *testing.T) {
			if !installed {
				withoutFFmpeg(t)
			}
			for name, c := range files {
				wantRefusal(t, fileOf(t, name, c.data), c.words...)
			}
			wantRefusal(t, t.TempDir(), "folder", "name a file")
			wantRefusal(t, filepath.Join(t.TempDir(), "gone.wav"), "check the name")
		})
	}
}

// More than a take may hold is refused before it costs memory, by our readers and behind ffmpeg alike.
func TestDecodeLimits(t *testing.T) {
	long := testsound.WavBytes(1, 1, 100, 8, make([]byte, 31*60*100))
	wide := testsound.WavBytes(1, 9, 48000, 16, make([]byte, 1800))
	hugeFLAC := contents(t, recordings(t, "misc/drum_cowbell.flac")[0])
	copy(hugeFLAC[8+13:], "\xff\x00\x00\x00\x00") // the number of samples in STREAMINFO
	sparse := fileOf(t, "sparse.aiff", aiffBytes("", 8, 192000, 8, nil))
	copyAt(t, sparse, 22, "\x01\xff\xff\xff") // frames
	copyAt(t, sparse, 42, "\x7f\xff\xff\xff") // SSND
	if err := os.Truncate(sparse, 300<<20); err != nil {
		t.Fatal(err)
	}
	for path, words := range map[string][]string{
		fileOf(t, "long.wav", long):      {"longer than 30 minutes", "cut it into takes"},
		fileOf(t, "wide.wav", wide):      {"9 channels", "at most 8"},
		fileOf(t, "huge.flac", hugeFLAC): {"longer than 30 minutes"},
		sparse:                           {"8 channels at 192000 Hz", "691 MB", "cut it into takes"},
	} {
		spent := allocatedBytes(func() { wantRefusal(t, path, words...) })
		if spent > 4<<20 {
			t.Errorf("%s: refused after %d bytes of memory", path, spent)
		}
		var limit *LimitError
		if _, err := File(path); !errors.As(err, &limit) {
			t.Errorf("%s: error %v, want a *LimitError", path, err)
		}
	}
	exact := testsound.WavBytes(1, 1, 100, 8, make([]byte, 30*60*100))
	if s := mustDecode(t, fileOf(t, "exact.wav", exact)); s.Seconds() != 1800 {
		t.Errorf("30 minutes give %v s", s.Seconds())
	}
}

// Damage in the middle never stops the program and never costs more than the file warrants.
func TestDecodeDamaged(t *testing.T) {
	withoutFFmpeg(t)
	random := rand.New(rand.NewPCG(1, 2))
	for name, data := range map[string][]byte{
		"wav":  testsound.WavBytes(3, 2, 48000, 32, testsound.Sine16(4, 48000, 400)),
		"aiff": aiffBytes("fl32", 2, 48000, 32, testsound.Sine16(4, 48000, 400)),
		"flac": contents(t, recordings(t, "misc/elec_bell.flac")[0]),
		"mp3":  contents(t, recordings(t, "flute/A4.mp3")[0])[:8000],
	} {
		for round := range 60 {
			bad := append([]byte(nil), data...)
			reach := len(bad)
			if round%2 == 0 {
				reach = 600 // headers
			}
			for range 1 + random.IntN(20) {
				bad[random.IntN(reach)] = byte(random.Uint32())
			}
			path := fileOf(t, "bad."+name, bad)
			spent := allocatedBytes(func() {
				if s, err := File(path); err == nil {
					checkSound(t, path, s)
				} else if !strings.Contains(err.Error(), path) {
					t.Errorf("error %q does not name the file", err)
				}
			})
			if spent > 64<<20 {
				t.Errorf("%s, round %d: %d MB allocated for %d bytes", name, round, spent>>20, len(bad))
			}
		}
	}
}

func TestDecodeNotFinite(t *testing.T) {
	nan := "\x00\x00\xc0\x7f"
	for _, data := range [][]byte{
		testsound.WavBytes(3, 1, 48000, 32, []byte(nan+"\x00\x00\x00\x3f")),
		aiffBytes("fl32", 1, 48000, 32, []byte("\x7f\xc0\x00\x00\x3f\x00\x00\x00")),
	} {
		s := mustDecode(t, fileOf(t, "take", data))
		if !s.NotFinite || s.Channels[0][0] != 0 || s.Channels[0][1] != 0.5 {
			t.Errorf("%s: not finite: %v, samples %v; want true, 0 and 0.5", s.Format, s.NotFinite, s.Channels[0])
		}
	}
}

// FIPS 180-4's example "abc".
func TestHash(t *testing.T) {
	const abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
	if sum, err := Hash(fileOf(t, "take.wav", []byte("abc"))); err != nil || sum != abc {
		t.Errorf("hash %s, %v; want %s", sum, err, abc)
	}
	if _, err := Hash(t.TempDir()); err == nil {
		t.Error("a folder has a hash")
	}
}

// copyAt overwrites part of a file.
func copyAt(t *testing.T, path string, at int64, data string) {
	t.Helper()
	file, err := os.OpenFile(path, os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	if _, err := file.WriteAt([]byte(data), at); err != nil {
		t.Fatal(err)
	}
}
