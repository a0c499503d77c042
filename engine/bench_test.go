// How many times faster than real time a chord of the default grid is.

package engine

import (
	"math/rand/v2"
	"testing"

	"lapstrake/mapping/wav"
	"lapstrake/voices"
)

// BenchmarkChord plays eight keys of the default grid on 24-bit beds of 15 s, 32 stereo voices, reading included, on
// one core.
func BenchmarkChord(b *testing.B) {
	p, _ := gridProject(b, "a.wav", "b.wav")
	p.Polyphony, p.OverlapSec, p.HeadroomDB, p.format = 256, 1, 12, wav.PCM24
	for i, name := range []string{"a.wav", "b.wav"} {
		random := rand.New(rand.NewPCG(uint64(i), 0))
		p.bed(name, stereoOf(seconds(15), func(int) (left, right float64) {
			return 0.1 * random.NormFloat64(), 0.1 * random.NormFloat64()
		}))
	}
	var chord []Event
	for _, key := range []byte{36, 43, 48, 55, 60, 64, 67, 72} {
		chord = append(chord, NoteOn(0, 0, key, 100))
	}
	for _, quality := range []voices.Quality{voices.Economy, voices.Standard, voices.High, voices.Best} {
		b.Run(quality.String(), func(b *testing.B) {
			e := p.open(Settings{Quality: quality, MemoryBytes: 96 << 20})
			events, block := NewList(chord), make([]float32, 2*512)
			for range 100 { // past the heads
				e.Fill()
				e.Render(block, events)
			}
			if count := e.Stats().Voices; count != 32 {
				b.Fatalf("%d voices sound, expected 32", count)
			}
			for b.Loop() {
				e.Fill()
				e.Render(block, events)
			}
			b.ReportMetric(float64(b.N)*512/testRateHz/b.Elapsed().Seconds(), "times_real_time")
		})
	}
}
