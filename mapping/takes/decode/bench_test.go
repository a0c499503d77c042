// How many times faster than it plays each format is decoded. Compare within one run.

package decode

import (
	"bytes"
	"testing"

	"lapstrake/mapping/testsound"
)

func BenchmarkDecode(b *testing.B) {
	for _, c := range []struct {
		name string
		data []byte
	}{
		{"WAV-24-stereo", testsound.WavBytes(1, 2, 48000, 24, testsound.Sine16(3, 48000, 480_000))},
		{"AIFF-24-stereo", aiffBytes("", 2, 48000, 24, testsound.Sine16(3, 48000, 480_000))},
		{"FLAC-16-mono", contents(b, recordings(b, "misc/ambi_choir.flac")[0])},
		{"MP3-mono", contents(b, recordings(b, "flute/A4.mp3")[0])},
	} {
		b.Run(c.name, func(b *testing.B) {
			path := fileOf(b, "take", bytes.Clone(c.data))
			b.SetBytes(int64(len(c.data)))
			b.ReportAllocs()
			seconds := 0.0
			for b.Loop() {
				seconds += mustDecodeQuick(b, path).Seconds()
			}
			b.ReportMetric(seconds/b.Elapsed().Seconds(), "×realtime")
		})
	}
}

func mustDecodeQuick(b *testing.B, path string) *Sound {
	s, err := File(path)
	if err != nil {
		b.Fatal(err)
	}
	return s
}
