// What a recording costs: on the audio thread, and where it is written.

package live

import (
	"path/filepath"
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

// BenchmarkRecordedScore writes a performance second by second: a hundred events a second.
func BenchmarkRecordedScore(b *testing.B) {
	score, err := engine.RecordScore(filepath.Join(b.TempDir(), "evening.mid"), recordRateHz)
	if err != nil {
		b.Fatal(err)
	}
	defer score.Close()
	events := make([]engine.Event, 100)
	b.ReportAllocs()
	for second := int64(0); b.Loop(); second++ {
		for i := range events {
			events[i] = engine.Control(second*recordRateHz+int64(i), 0, 1, byte(i))
		}
		if err := score.Append(events, nil, (second+1)*recordRateHz); err != nil {
			b.Fatal(err)
		}
	}
}
