// How fast samples are decoded, read and written. Compare within one run.

package wav

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
)

// BenchmarkDecode decodes what one read brings, in the processor's cache.
func BenchmarkDecode(b *testing.B) {
	for _, e := range []Encoding{Int24, Int16, Int32, Float32} {
		for _, way := range []struct {
			name   string
			decode func([]float32, []byte, Encoding)
		}{{"fast", Decode}, {"portable", DecodePortable}} {
			b.Run(fmt.Sprintf("%d-bit-%s/%s", 8*e.Bytes(),
				map[bool]string{true: "float", false: "integer"}[e.IsFloat()], way.name), func(b *testing.B) {
				const frames = 5000
				src, dst := randomBytes(2*frames*e.Bytes(), 1), make([]float32, 2*frames)
				b.SetBytes(int64(len(src)))
				for b.Loop() {
					way.decode(dst, src, e)
				}
				b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/frames, "ns/frame")
			})
		}
	}
}

// BenchmarkReadStereo reads 10,000 frames at a time from a file in the page cache.
func BenchmarkReadStereo(b *testing.B) {
	for channels := 1; channels <= 2; channels++ {
		for _, bits := range []int{16, 24, 32} {
			tag := uint16(tagPCM)
			if bits == 32 {
				tag = tagFloat
			}
			b.Run(fmt.Sprintf("%d-channel/%d-bit", channels, bits), func(b *testing.B) {
				const frames, block = 720_000, 10_000
				path := filepath.Join(b.TempDir(), "bed.wav")
				data := riff(plainFormat(tag, channels, 48000, bits),
					padded("data", make([]byte, frames*channels*bits/8)))
				if err := os.WriteFile(path, data, 0o666); err != nil {
					b.Fatal(err)
				}
				f, err := Open(path)
				if err != nil {
					b.Fatal(err)
				}
				defer f.Close()
				dst := make([]float32, 2*block)
				b.SetBytes(int64(block * f.Info.frameBytes()))
				b.ReportAllocs()
				pos := int64(0)
				for b.Loop() {
					if err := f.ReadStereo(dst, pos); err != nil {
						b.Fatal(err)
					}
					pos = (pos + block) % frames
				}
				b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/block, "ns/frame")
			})
		}
	}
}

// BenchmarkWriteFrames writes 10,000 stereo frames at a time.
func BenchmarkWriteFrames(b *testing.B) {
	for f := range formats {
		b.Run(Format(f).String(), func(b *testing.B) {
			const block = 10_000
			in := make([]float32, 2*block)
			DecodePortable(in, randomBytes(2*len(in), 1), Int16)
			path := filepath.Join(b.TempDir(), "out.wav")
			w, err := Create(path, 48000, 2, Format(f))
			if err != nil {
				b.Fatal(err)
			}
			defer func() { w.Discard() }()
			b.ReportAllocs()
			for b.Loop() {
				if w.frames > 100*block { // keeps the file small
					w.Discard()
					if w, err = Create(path, 48000, 2, Format(f)); err != nil {
						b.Fatal(err)
					}
				}
				if err := w.WriteFrames(in); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(len(in))*float64(b.N)/b.Elapsed().Seconds()/1e6, "Msamples/s")
		})
	}
}
