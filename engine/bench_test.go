// How many times faster than real time a chord of the default grid is.

package engine

import (
	"testing"

	"lapstrake/voices"
)

// BenchmarkChord plays eight keys of the default grid, 32 stereo voices, reading included, on one core.
func BenchmarkChord(b *testing.B) {
	p, _ := gridProject(b, "a.wav", "b.wav")
	p.Voices, p.Overlap = 256, 0.033 // as much of a cycle is joins as with beds of 15 s and the default second
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
