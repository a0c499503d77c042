// Vorbis: against libvorbis through ffmpeg, and streams that are not as they should be.

package decode

import (
	"bytes"
	"encoding/binary"
	"math"
	"path/filepath"
	"testing"

	"lapstrake/mapping/sound"
	"lapstrake/mapping/testsound"
)

func cowbell(t testing.TB) []byte { return contents(t, filepath.Join("testdata", "cowbell.ogg")) }

// The recording that the file was made of is as long to a frame, and sounds alike: the encoder is the only difference.
func TestVorbisIsItsRecording(t *testing.T) {
	withoutFFmpeg(t)
	want := mustDecode(t, recordings(t, "misc/drum_cowbell.flac")[0])
	got := mustDecode(t, filepath.Join("testdata", "cowbell.ogg"))
	if got.Frames() != want.Frames() || got.RateHz != want.RateHz {
		t.Fatalf("%d frames at %d Hz, want %d at %d", got.Frames(), got.RateHz, want.Frames(), want.RateHz)
	}
	signal, noise := 0.0, 0.0
	for i, x := range want.Channels[0] {
		difference := float64(got.Channels[0][i] - x)
		signal += float64(x) * float64(x)
		noise += difference * difference
	}
	if snrDB := 10 * math.Log10(signal/noise); snrDB < 8 {
		t.Errorf("%.1f dB between the recording and what the encoder changed of it, want 8 and more", snrDB)
	}
}

// libvorbis writes the files, ffmpeg's decoder reads them: the same samples but for rounding, over full scale too, and
// the channels in their places.
func TestVorbisAgainstFFmpeg(t *testing.T) {
	folder := t.TempDir()
	outputs := []string{"-i", recordings(t, "piano/*")[0], "-i", recordings(t, "flute/*")[0], "-f", "lavfi", "-i",
		"aevalsrc=0.1*sin(1000*t)|0.2*sin(2000*t)|0.3*sin(3000*t)|0.4*sin(4000*t)|0.5*sin(5000*t):d=1.3:c=5.0"}
	for name, options := range map[string][]string{
		"piano.ogg": {"-map", "0:a"}, "soft.ogg": {"-map", "0:a", "-q:a", "0", "-ar", "22050", "-ac", "2"},
		"loud.ogg": {"-map", "1:a", "-af", "volume=30dB", "-q:a", "8", "-ar", "48000"}, "five.ogg": {"-map", "2:a"},
	} {
		outputs = append(outputs, append(append([]string{"-t", "2.37"}, options...), "-c:a", "libvorbis",
			filepath.Join(folder, name))...)
	}
	ffmpegMakes(t, outputs...)
	paths, _ := filepath.Glob(filepath.Join(folder, "*.ogg"))
	for _, path := range paths {
		theirs := &keeper{mostSamples: maxSamples}
		in, err := newInput(eagerEOF(contents(t, path)), int64(len(contents(t, path))), path,
			output{path: path, to: theirs})
		if err != nil {
			t.Fatal(err)
		}
		if _, err := decodeFFmpeg(in, "Ogg"); err != nil {
			t.Fatal(err)
		}
		ours := readWith(t, path, decodeVorbis)
		// ffmpeg drops the last 128 frames of some streams; ours are as long as their last page says.
		if missing := ours.Frames() - len(theirs.channels[0]); missing < 0 || missing > 128 ||
			len(ours.Channels) != len(theirs.channels) {
			t.Fatalf("%s: %d frames of %d channels, ffmpeg gives %d of %d", path, ours.Frames(), len(ours.Channels),
				len(theirs.channels[0]), len(theirs.channels))
		}
		for c, channel := range theirs.channels {
			tolerance := 1e-6 * max(1, float64(sound.Peak(channel)))
			for i, x := range channel {
				if off := math.Abs(float64(ours.Channels[c][i] - x)); off > tolerance {
					t.Fatalf("%s: channel %d, frame %d is %v, ffmpeg gives %v", filepath.Base(path), c, i,
						ours.Channels[c][i], x)
				}
			}
		}
	}
}

// readWith decodes a file with one decoder alone.
func readWith(t *testing.T, path string, read func(*input) (*Sound, error)) *Sound {
	t.Helper()
	kept := &keeper{mostSamples: maxSamples}
	data := contents(t, path)
	in, err := newInput(eagerEOF(data), int64(len(data)), path, output{path: path, to: kept})
	if err != nil {
		t.Fatal(err)
	}
	s, err := read(in)
	if err != nil {
		t.Fatal(err)
	}
	s.Channels = kept.channels
	checkSound(t, path, s)
	return s
}

// Two streams after each other, and headers alone, are not read as one sound.
func TestVorbisThatIsNoSingleSound(t *testing.T) {
	withoutFFmpeg(t)
	one := cowbell(t)
	wantRefusal(t, fileOf(t, "two.ogg", append(one[:len(one):len(one)], one...)), "2 Ogg streams", "save it anew")
	audioAt := 0
	for range 2 { // the first page holds a header, the second the two others
		audioAt += oggBytes(one[audioAt:])
	}
	wantRefusal(t, fileOf(t, "headers.ogg", one[:audioAt]), "headers without sound", "get the file again")
}

// oggBytes is the length of the page that data begins with.
func oggBytes(data []byte) int {
	length := 27 + int(data[26])
	for _, segment := range data[27:length] {
		length += int(segment)
	}
	return length
}

// withLastPosition is a copy of an Ogg file whose last page states another position.
func withLastPosition(data []byte, position uint64) []byte {
	out := bytes.Clone(data)
	page := out
	for len(page) > oggBytes(page) {
		page = page[oggBytes(page):]
	}
	binary.LittleEndian.PutUint64(page[6:], position)
	sealOgg(page)
	return out
}

// sealOgg gives a page the checksum that fits it.
func sealOgg(page []byte) {
	clear(page[22:26])
	binary.LittleEndian.PutUint32(page[22:], oggChecksum(page))
}

// Codebooks that would cost gigabytes, and such by which a decoder never comes to an end, are refused before they are
// read.
func TestVorbisSetupThatCostsTooMuch(t *testing.T) {
	withoutFFmpeg(t)
	data := cowbell(t)
	second := oggBytes(data)
	setup := second + 27 + int(data[second+26])
	for string(data[setup:setup+7]) != "\x05vorbis" {
		setup++
	}
	// Of the first codebook: 24 bits of sync, 16 of dimensions, 24 of entries.
	hostile := patched(data, setup+8+3, "\xff\xff\xff\xff\xff")
	sealOgg(hostile[second:][:oggBytes(hostile[second:])])
	path := fileOf(t, "hostile.ogg", hostile)
	if spent := allocatedBytes(func() {
		wantRefusal(t, path, "Vorbis headers",
			"get the file again")
	}); spent > 4<<20 {
		t.Errorf("a codebook that is not there cost %d bytes", spent)
	}
	// One flipped bit makes a codebook without dimensions, by which the decoder would never get ahead.
	wantRefusal(t, fileOf(t, "flipped.ogg", patched(data, 1357, "\x01")), "Vorbis headers", "get the file again")
	endless := []byte("\x05vorbis\x00BCV\x01\x00\x05\x00\x00\x01")
	if vorbisSetupFits(endless) {
		t.Error("a codebook without end is taken for whole")
	}
}

// An encoder's silence takes next to no bytes; the sound is as long all the same.
func TestVorbisSilence(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "silence.ogg")
	original := fileOf(t, "silence.wav", testsound.WavBytes(1, 2, 48000, 16, make([]byte, 4*5*48000)))
	ffmpegMakes(t, "-i", original, "-c:a", "libvorbis", path)
	if s := readWith(t, path, decodeVorbis); s.Frames() != 5*48000 || s.Truncated {
		t.Errorf("%d frames, truncated %v; want 5 s", s.Frames(), s.Truncated)
	}
}

func FuzzVorbis(f *testing.F) {
	data := cowbell(f)
	f.Add(data)
	f.Add(data[:5000])
	f.Fuzz(func(t *testing.T, data []byte) {
		kept := &keeper{mostSamples: 1 << 22}
		in := &input{path: "take.ogg", r: eagerEOF(data), size: int64(len(data)), head: data,
			out: output{path: "take.ogg", to: kept}}
		if s, err := recovered(in, decodeVorbis); err == nil {
			s.Channels = kept.channels
			checkSound(t, "take.ogg", s)
		}
	})
}
