// Chunks beside the sound: laid out as published, read back, and no way to hurt the reader.

package wav

import (
	"bytes"
	"errors"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// labelled are labels of every kind, with texts of odd and even lengths.
func labelled() Labels {
	return Labels{
		Sampler:    &Sampler{RootKey: 36, Loops: []Loop{{0, 4}}},
		Instrument: &Instrument{RootKey: 36, LowKey: 25, HighKey: 36, LowVelocity: 1, HighVelocity: 127, GainDB: -12},
		Broadcast: &Broadcast{Description: "slip", Originator: "yard", OriginatorReference: "7", Date: "2026-03-01",
			Time: "06:07:08", CodingHistory: "A=PCM,F=48000,W=24,M=stereo,T=yard\r\n", LoudnessLUFS: -23.05,
			RangeLU: math.NaN(), TruePeakDBTP: -3, MaxMomentaryLUFS: -20.5, MaxShortTermLUFS: math.Inf(-1)},
		Texts: []Text{{"INAM", "Slipway"}, {"ICMT", "all"}},
		Cues:  []Cue{{0, "a"}, {3, "from here"}},
		XML:   "<yard/>",
	}
}

func writeLabelled(t testing.TB, f Format, frames int, labels Labels) (path string, data []byte) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "out.wav")
	w, err := CreateWith(path, 48000, 1, f, Extras{
		Before:  []Chunk{labels.Broadcast.Chunk()},
		Between: CueChunks(labels.Cues),
		After: []Chunk{labels.Sampler.Chunk(48000), labels.Instrument.Chunk(), TextChunk(labels.Texts...),
			XMLChunk(labels.XML)},
	})
	if err != nil {
		t.Fatal(err)
	}
	defer w.Discard()
	if err := w.WriteFrames(make([]float32, frames)); err != nil {
		t.Fatal(err)
	}
	if err := w.Commit(); err != nil {
		t.Fatal(err)
	}
	if data, err = os.ReadFile(path); err != nil {
		t.Fatal(err)
	}
	return path, data
}

// Every byte as the standards lay it out (built here field by field: EBU Tech 3285 for bext; Microsoft, New Multimedia
// Data Types and Data Techniques, 1994, for smpl and inst; Multimedia Programming Interface 1.0 for INFO, cue and
// adtl; EBU Tech 3285, supplement 5, for axml), in the order bext, fmt, cue, LIST, data, smpl, inst, LIST, axml, with
// pad bytes behind what is odd.
func TestLabelsAreLaidOutAsPublished(t *testing.T) {
	fixed := func(text string, size int) string { return text + strings.Repeat("\x00", size-len(text)) }
	bext := padded("bext", fixed("slip", 256), fixed("yard", 32), fixed("7", 32), "2026-03-01", "06:07:08", uint64(0),
		uint16(2), fixed("", 64), int16(-2305), int16(0x7FFF), int16(-300), int16(-2050), int16(0x7FFF),
		fixed("", 180), "A=PCM,F=48000,W=24,M=stereo,T=yard\r\n")
	places := bytes.Join([][]byte{
		padded("cue ", uint32(2), uint32(1), uint32(0), "data", uint32(0), uint32(0), uint32(0), uint32(2), uint32(3),
			"data", uint32(0), uint32(0), uint32(3)),
		padded("LIST", "adtl", padded("labl", uint32(1), "a\x00"), padded("labl", uint32(2), "from here\x00")),
	}, nil)
	after := bytes.Join([][]byte{
		samplerChunk(36, 0, [2]uint32{0, 4}),
		padded("inst", uint8(36), int8(0), int8(-12), uint8(25), uint8(36), uint8(1), uint8(127)),
		padded("LIST", "INFO", padded("INAM", "Slipway\x00"), padded("ICMT", "all\x00")),
		padded("axml", "<yard/>"),
	}, nil)
	for _, frames := range []int{5, 6} { // an odd and an even number of bytes
		_, data := writeLabelled(t, PCM24, frames, labelled())
		want := riff(bext, plainFormat(1, 1, 48000, 24), places, padded("data", make([]byte, 3*frames)), after)
		if !bytes.Equal(data, want) {
			t.Errorf("%d frames:\n% x\nwant\n% x", frames, data, want)
		}
	}
}

// bext has no accents, and a question mark for other letters that are not ASCII's.
func TestBroadcastIsASCII(t *testing.T) {
	b, err := readBroadcast(Broadcast{Description: "Bœuf ♯1, Ébénézer Ångström"}.Chunk().Body)
	if err != nil || b.Description != "B?uf ?1, Ebenezer Angstrom" {
		t.Errorf("%+v, %v", b, err)
	}
}

// What is written is read back, whatever the texts; the sound is found as without labels.
func TestLabelsRoundTrip(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		text, plain := rapid.StringMatching(`[ -~é♯]{1,30}`), rapid.StringMatching(`[ -~]{1,30}`)
		number := rapid.Custom(func(rt *rapid.T) float64 {
			return float64(
				rapid.IntRange(-9000, 9000).Draw(rt, "hundredths")) / 100
		})
		key := rapid.IntRange(0, 127)
		frames := rapid.IntRange(1, 50).Draw(rt, "frames")
		want := Labels{
			Sampler: &Sampler{RootKey: key.Draw(rt, "root"), Loops: []Loop{{0, int64(frames) - 1}}},
			Instrument: &Instrument{key.Draw(rt, "root"), key.Draw(rt, "low"), key.Draw(rt, "high"),
				key.Draw(rt, "softest"), key.Draw(rt, "loudest"), rapid.IntRange(-64, 64).Draw(rt, "gain")},
			Broadcast: &Broadcast{plain.Draw(rt, "description"), "yard", "", "2026-03-01", "",
				plain.Draw(rt, "history"), number.Draw(rt, "loudness"), number.Draw(rt, "range"),
				number.Draw(rt, "peak"), number.Draw(rt, "momentary"), number.Draw(rt, "short term")},
			Cues:  []Cue{{int64(frames) - 1, text.Draw(rt, "label")}, {0, ""}},
			Texts: []Text{{"INAM", text.Draw(rt, "title")}, {"IART", text.Draw(rt, "artist")}},
			XML:   text.Draw(rt, "document"),
		}
		path, data := writeLabelled(t, rapid.SampledFrom([]Format{PCM16, PCM24, Float}).Draw(rt, "format"), frames,
			want)
		got, err := ReadLabels(bytes.NewReader(data), int64(len(data)), path)
		if err != nil || !reflect.DeepEqual(got, want) {
			rt.Fatalf("%v: read back %+v %+v %+v %+v, want %+v %+v %+v %+v", err, got.Sampler, got.Instrument,
				got.Broadcast, got.Texts, want.Sampler, want.Instrument, want.Broadcast, want.Texts)
		}
		if out, info := readAll(t, path); info.Frames != int64(frames) || len(out) != 2*frames {
			rt.Fatalf("%d frames found, want %d", info.Frames, frames)
		}
	})
}

// Hostile chunks: an error or nothing, never a crash or a file's worth of memory twice.
func FuzzReadLabels(f *testing.F) {
	_, data := writeLabelled(f, PCM16, 5, labelled())
	f.Add(data)
	f.Add(data[:700])
	f.Add(riff(plainFormat(1, 1, 48000, 16), padded("data", "ab"),
		sized("LIST", 12, "INFO", "INAM", uint32(0xFFFFFFF0)), padded("inst", "abc"), padded("bext", "short")))
	f.Add(riff(plainFormat(1, 1, 48000, 16), padded("data", "ab"), padded("cue ", uint32(0xFFFFFFF0), "data"),
		sized("LIST", 12, "adtl", "labl", uint32(0xFFFFFFF0))))
	for _, l := range layouts() {
		f.Add(l.data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		labels, err := ReadLabels(bytes.NewReader(data), int64(len(data)), "take.wav")
		if err != nil && (labels.Instrument != nil || labels.Texts != nil) {
			t.Fatalf("error %v beside %+v", err, labels)
		}
		var format *FormatError
		if errors.As(err, &format) && format.Path != "take.wav" {
			t.Fatal(err)
		}
	})
}
