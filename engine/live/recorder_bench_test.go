// What a recording costs: on the audio thread, and where it is written.

package live

import (
	"io"
	"testing"

	"lapstrake/engine"
	"lapstrake/mapping/wav"
)

// BenchmarkRecorder compares, a frame: adding on the audio thread, taking out again, and making 24-bit frames.
func BenchmarkRecorder(b *testing.B) {
	const blockFrames = 256
	block, taken := recordedRamp(0, blockFrames), make([]float32, 2*blockFrames)
	perFrame := func(b *testing.B) {
		b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/blockFrames, "ns/frame")
	}
	b.Run("add", func(b *testing.B) {
		ring := newSoundRing(8 * blockFrames)
		for b.Loop() {
			ring.add(block)
			ring.popped.Store(ring.pushed.Load())
		}
		perFrame(b)
	})
	b.Run("add+take", func(b *testing.B) {
		ring := newSoundRing(8 * blockFrames)
		for b.Loop() {
			ring.add(block)
			ring.take(taken)
		}
		perFrame(b)
	})
	b.Run("write", func(b *testing.B) {
		sound, err := wav.Record(b.TempDir()+"/a.wav", recordRateHz, 2, wav.PCM24)
		if err != nil {
			b.Fatal(err)
		}
		for b.Loop() {
			if err := sound.WriteFrames(block); err != nil {
				b.Fatal(err)
			}
		}
		perFrame(b)
		sound.Close()
	})
}

// BenchmarkRecordedScore writes a performance of an hour and a half: fifteen events a second.
func BenchmarkRecordedScore(b *testing.B) {
	score := engine.Score{Frames: 80_000 * 3200}
	for n := range 80_000 {
		score.Events = append(score.Events, engine.Control(int64(n)*3200, 0, 1, byte(n%128)))
	}
	b.ReportAllocs()
	for b.Loop() {
		if err := engine.WriteScore(io.Discard, score, recordRateHz); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(score.Events)), "ns/event")
}
