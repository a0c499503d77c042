// Each flag on a sound that deserves it, and no flag on one that does not.

package measure

import (
	"slices"
	"testing"

	"lapstrake/mapping/takes/decode"
	"lapstrake/mapping/testsound"
	"lapstrake/mapping/testsound/testtakes"
)

// ordinary is a take that nothing is wrong with: stereo, a quiet lead-in, a note with a beginning.
func ordinary() *decode.Sound {
	note := shaped(220, 1.5, func(sec float64) float64 { return -8 * sec }).Channels[0]
	return &decode.Sound{RateHz: 48000, Bits: 24, Format: "WAV", Channels: [][]float32{note,
		testsound.Summed(note, testsound.NoiseWave(testsound.White, 48000, len(note), -70, 9))}}
}

func TestOrdinaryTakeHasNoFlags(t *testing.T) {
	t.Parallel()
	m := Take(ordinary())
	if flags := m.Flags(); len(flags) != 0 {
		t.Errorf("flags %v", flags)
	}
}

func TestFlags(t *testing.T) {
	t.Parallel()
	change := func(by func(channel int, i int, x float32) float32) *decode.Sound {
		s := ordinary()
		for c, channel := range s.Channels {
			for i, x := range channel {
				channel[i] = by(c, i, x)
			}
		}
		return s
	}
	rated := func(rateHz, bits int) *decode.Sound {
		s := ordinary()
		s.RateHz, s.Bits = rateHz, bits
		return s
	}
	hum := ordinary()
	for c := range hum.Channels {
		hum.Channels[c] = withHum(testsound.Delayed(24000, hum.Channels[c]), 48000, 50, -50)
	}
	hiss := ordinary()
	for c := range hiss.Channels {
		hiss.Channels[c] = testsound.Summed(hiss.Channels[c],
			testsound.NoiseWave(testsound.White, 48000, len(hiss.Channels[c]), -30, uint64(c)))
	}
	five := ordinary()
	five.Channels = append(five.Channels, five.Channels[0], five.Channels[1], five.Channels[0])
	for _, test := range []struct {
		flag  Flag
		sound *decode.Sound
	}{
		{Empty, &decode.Sound{RateHz: 48000, Channels: [][]float32{{}}}},
		{Silent, change(func(_, _ int, x float32) float32 { return 0 })},
		{Silent, change(func(_, _ int, x float32) float32 { return x / 100000 })},
		{Clipped, change(func(_, _ int, x float32) float32 { return max(-0.15, min(x, 0.15)) })},
		{TooShort, change(func(_, i int, x float32) float32 {
			if i > 12000+1440 {
				return 0
			}
			return x
		})},
		{HasDC, change(func(_, _ int, x float32) float32 { return x + 0.03 })},
		{Hum, hum},
		{NoisyTake, hiss},
		{StartCut, testtakes.Mono(48000, testsound.HarmonicWave(48000, 220, 2))},
		{MonoInStereo, &decode.Sound{RateHz: 48000, Bits: 24,
			Channels: [][]float32{ordinary().Channels[0], ordinary().Channels[0]}}},
		{OneSided, change(func(c, _ int, x float32) float32 { return x * float32(1-c) })},
		{OutOfPhase, change(func(c, _ int, x float32) float32 { return x * float32(1-2*c) })},
		{ManyChannels, five},
		{LowRate, rated(16000, 24)},
		{HighRate, rated(192000, 24)},
		{FewBits, rated(48000, 8)},
	} {
		m := Take(test.sound)
		if !slices.Contains(m.Flags(), test.flag) {
			t.Errorf("%q is not among %q: %+v", test.flag, m.Flags(), m)
		}
	}
}

// Whatever comes in, measuring ends, and says silent or empty where there is nothing.
func TestMeasureOddSounds(t *testing.T) {
	t.Parallel()
	for _, frames := range []int{0, 1, 2, 3, 15, 64, 1000} {
		for _, rateHz := range []int{1, 8000, 48000, 192000} {
			for _, level := range []float32{0, 1, -1, 1e-20} {
				x := make([]float32, frames)
				for i := range x {
					x[i] = level
				}
				m := Take(testtakes.Mono(rateHz, x))
				if frames == 0 && !slices.Contains(m.Flags(), Empty) || frames > 0 && level == 0 &&
					!slices.Contains(m.Flags(), Silent) {
					t.Fatalf("%d frames of %v at %d Hz: flags %q", frames, level, rateHz, m.Flags())
				}
			}
		}
	}
}

// BenchmarkMeasure tells how many seconds of sound are measured in a second on one core.
func BenchmarkMeasure(b *testing.B) {
	s := ordinary()
	for range 3 {
		for c := range s.Channels {
			s.Channels[c] = append(s.Channels[c], s.Channels[c]...)
		}
	}
	for b.Loop() {
		Take(s)
	}
	b.ReportMetric(s.Seconds()*float64(b.N)/b.Elapsed().Seconds(), "sound-s/s")
}
