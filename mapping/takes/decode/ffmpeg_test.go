// What goes through ffmpeg: a stand-in for it in PATH shows what it is asked, ffmpeg itself what comes of it.

package decode

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"lapstrake/mapping/testsound"
)

// standIn puts a shell script named ffmpeg in PATH, with the system's own programs behind it.
func standIn(t *testing.T, script string) (folder string) {
	t.Helper()
	folder = t.TempDir()
	if err := os.WriteFile(filepath.Join(folder, "ffmpeg"), []byte("#!/bin/sh\n"+script+"\n"), 0o777); err != nil {
		t.Fatal(err)
	}
	t.Setenv("PATH", folder+string(os.PathListSeparator)+os.Getenv("PATH"))
	return folder
}

var ogg = []byte("OggS\x00\x02 and so on")

func TestWithoutFFmpeg(t *testing.T) {
	withoutFFmpeg(t)
	for name, c := range map[string]struct{ data, found string }{
		"take.ogg": {string(ogg), "an Ogg file"}, "take.m4a": {"\x00\x00\x00\x20ftypM4A ", "an MPEG-4 file"},
		"take.au": {".snd\x00\x00\x00\x18", "AU"}, "take.caf": {"caff\x00\x01\x00\x00", "CAF"},
	} {
		wantRefusal(t, fileOf(t, name, []byte(c.data)), c.found, "convert it", "install ffmpeg", "PATH")
	}
	adpcm := testsound.WavBytes(0x11, 1, 48000, 4, make([]byte, 100))
	wantRefusal(t, fileOf(t, "take.wav", adpcm), "IMA ADPCM", "convert it")
}

// The path cannot be taken for an option or an address, and no shell sees it.
func TestFFmpegArguments(t *testing.T) {
	folder := standIn(t, `for a in "$@"; do printf '%s\n' "$a"; done > "$(dirname "$0")/asked"; `+
		`cat "$(dirname "$0")/answer"`)
	if err := os.WriteFile(filepath.Join(folder, "answer"), testsound.WavBytes(3, 2, 22050, 32, make([]byte, 80)),
		0o666); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"-i.ogg", "http:take.ogg", "a; touch b $(touch c).ogg",
		"take%03d.ogg", "häll ö.ogg"} {
		path := fileOf(t, name, oggPageBytes(6, 0, []byte("first and last")))
		t.Chdir(filepath.Dir(path))
		s, err := File(name)
		if err != nil || s.Format != "Ogg" || s.RateHz != 22050 || len(s.Channels) != 2 || s.Frames() != 10 ||
			s.Bits != 0 || s.Truncated {
			t.Fatalf("%s: %+v, %v", name, s, err)
		}
		asked := "\n" + string(contents(t, filepath.Join(folder, "asked")))
		for _, want := range []string{"\n-nostdin\n", "\n-v\nlevel+info\n", "\n-protocol_whitelist\nfile\n",
			"\n-i\nfile:" + path + "\n", "\npipe:1\n"} {
			if !strings.Contains(asked, want) {
				t.Errorf("%s: ffmpeg was called with%s\nwithout%s", name, asked, want)
			}
		}
	}
}

// A stream without end is stopped at the limit, and so is the program.
func TestFFmpegWithoutEnd(t *testing.T) {
	folder := standIn(t, `cat "$(dirname "$0")/answer" /dev/zero`)
	endless := testsound.WavBytes(1, 1, 50, 8, nil)
	copy(endless[4:], "\xff\xff\xff\xff")
	copy(endless[40:], "\xff\xff\xff\xff")
	if err := os.WriteFile(filepath.Join(folder, "answer"), endless, 0o666); err != nil {
		t.Fatal(err)
	}
	var limit *LimitError
	if _, err := File(fileOf(t, "take.ogg", ogg)); !errors.As(err, &limit) {
		t.Errorf("error %v, want a *LimitError", err)
	}
}

// What ffmpeg says is passed on, one line of it; what it could decode before is kept and marked.
func TestFFmpegFails(t *testing.T) {
	standIn(t, `echo "[mov @ 0x1] [error] moov atom not found" >&2; yes again | head -c 100000 >&2; exit 1`)
	wantRefusal(t, fileOf(t, "take.ogg", ogg), "an Ogg file",
		"ffmpeg cannot read it either: [mov @ 0x1] moov atom not found)")

	folder := standIn(t, `cat "$(dirname "$0")/answer"; echo "[error] packet corrupt" >&2; exit 1`)
	if err := os.WriteFile(filepath.Join(folder, "answer"), testsound.WavBytes(1, 1, 8000, 16, make([]byte, 80)),
		0o666); err != nil {
		t.Fatal(err)
	}
	if s := mustDecode(t, fileOf(t, "take.ogg", ogg)); !s.Truncated || s.Frames() != 40 {
		t.Errorf("%d frames, truncated: %v; want 40, true", s.Frames(), s.Truncated)
	}
}

// Lossless files in containers of all kinds come back bit by bit, lossy ones as long as they were.
func TestFFmpegFormats(t *testing.T) {
	original := fileOf(t, "original.wav", testsound.WavBytes(1, 2, 44100, 16, testsound.Sine16(2, 44100, 22050)))
	want := mustDecode(t, original)
	files := []struct {
		name, codec, format string
		lossy               bool
	}{
		{"take.au", "pcm_s16be", "AU", false}, {"take.caf", "pcm_s16le", "CAF", false},
		{"take.w64", "pcm_s16le", "Wave64", false},
		{"take.m4a", "alac", "MPEG-4", false}, {"take.wv", "wavpack", "WavPack", false},
		{"take.oga", "flac", "Ogg", false},
		{"take.mka", "pcm_s16le", "Matroska", false}, {"take.voc", "pcm_s16le", "VOC", false},
		{"adpcm.wav", "adpcm_ima_wav", "WAV", true}, {"ima.aifc", "adpcm_ima_qt", "AIFF", true},
		{"take.ogg", "libvorbis", "Ogg", true}, {"aac.m4a", "aac", "MPEG-4", true},
	}
	folder, outputs := t.TempDir(), []string{"-i", original}
	for _, c := range files {
		outputs = append(outputs, "-c:a", c.codec, filepath.Join(folder, c.name))
	}
	ffmpegMakes(t, outputs...)
	for _, c := range files {
		s := mustDecode(t, filepath.Join(folder, c.name))
		if s.Format != c.format || s.Truncated || s.RateHz != 44100 || len(s.Channels) != 2 {
			t.Errorf("%s: %s, %d Hz, %d channels, truncated: %v", c.name, s.Format, s.RateHz,
				len(s.Channels), s.Truncated)
		}
		if !c.lossy && farthest(t, s, want) != 0 {
			t.Errorf("%s: not the same samples", c.name)
		}
		if c.lossy && (s.Frames() < 22050-2048 || s.Frames() > 22050+2048) {
			t.Errorf("%s: %d frames, want 22050 within a block", c.name, s.Frames())
		}
	}
}

// Our own readers against ffmpeg's writers.
func TestOwnReadersAgainstFFmpeg(t *testing.T) {
	original := fileOf(t, "original.wav", testsound.WavBytes(1, 5, 96000, 16, testsound.Sine16(5, 96000, 9601)))
	want := mustDecode(t, original)
	files := []struct {
		name, codec string
		tolerance   float64
	}{
		{"s8.aiff", "pcm_s8", 1. / 128}, {"s16.aiff", "pcm_s16be", 0}, {"s24.aiff", "pcm_s24be", 0},
		{"s32.aiff", "pcm_s32be", 0},
		{"sowt.aiff", "pcm_s16le", 0}, {"fl32.aiff", "pcm_f32be", 0}, {"fl64.aiff", "pcm_f64be", 0},
		{"alaw.aiff", "pcm_alaw", 1. / 64}, {"ulaw.aiff", "pcm_mulaw", 1. / 64},
		{"u8.wav", "pcm_u8", 1. / 128}, {"s24.wav", "pcm_s24le", 0}, {"f32.wav", "pcm_f32le", 0},
		{"f64.wav", "pcm_f64le", 0},
		{"alaw.wav", "pcm_alaw", 1. / 64}, {"ulaw.wav", "pcm_mulaw", 1. / 64}, {"take.flac", "flac", 0},
	}
	folder, outputs := t.TempDir(), []string{"-i", original}
	for _, c := range files {
		outputs = append(outputs, "-c:a", c.codec, filepath.Join(folder, c.name))
	}
	ffmpegMakes(t, outputs...)
	for _, c := range files {
		t.Run(c.name, func(t *testing.T) {
			withoutFFmpeg(t) // our readers alone
			s := mustDecode(t, filepath.Join(folder, c.name))
			if off := farthest(t, s, want); off > c.tolerance || s.Truncated {
				t.Errorf("off by %v, more than %v (truncated: %v)", off, c.tolerance, s.Truncated)
			}
		})
	}
}
