// Lowering the partials that are off a root's harmonics, by sinusoidal modelling.

package clean

import (
	"math"

	"gonum.org/v1/gonum/dsp/fourier"

	"lapstrake/mapping/hearing"
	"lapstrake/mapping/sound"
)

const (
	strayPeriods  = 64 // of the root in a frame: partials 50 cents from the first harmonic are told apart from it
	strayLeastSec = 0.04
	strayMostSec  = 0.34
	strayHops     = 4 // frames overlap so often
)

// strays takes partials down frame by frame (Serra & Smith, Spectral Modeling Synthesis, Computer Music Journal 14,
// 1990): a peak of the spectrum of a frame with its flanks is a partial's share in that frame; a part of it is
// subtracted.
type strays struct {
	size   int
	fft    *fourier.FFT
	window []float64
	frame  []float64
	bins   [][]complex128 // of each channel
	power  []float64      // of all channels
	gain   []float64      // to be subtracted from each bin, 0 to 1
	binHz  float64
}

func newStrays(channels, rateHz int, rootHz float64) *strays {
	sec := min(max(strayPeriods/rootHz, strayLeastSec), strayMostSec)
	size := sound.PowerOfTwo(sec, rateHz)
	s := &strays{size: size, fft: fourier.NewFFT(size), window: make([]float64, size), frame: make([]float64, size),
		bins: make([][]complex128, channels), power: make([]float64, size/2+1), gain: make([]float64, size/2+1),
		binHz: float64(rateHz) / float64(size)}
	for i := range s.window {
		s.window[i] = sound.Hann(i, size)
	}
	for c := range s.bins {
		s.bins[c] = make([]complex128, size/2+1)
	}
	return s
}

// lowerStrays lowers, from a frame on, what lies off the harmonics of a root and below the eighth and a half by so
// many decibels. What sounds before the frame, which the onset is, stays as it is: nothing is heard of a stroke before
// it.
func lowerStrays(channels [][]float32, rateHz int, rootHz, db float64, onset int) {
	if db <= 0 {
		return
	}
	const fadeSec = 0.003
	s := newStrays(len(channels), rateHz, rootHz)
	taken := make([][]float64, len(channels))
	for c := range taken {
		taken[c] = make([]float64, len(channels[0]))
	}
	hop, less := s.size/strayHops, 1-sound.DBToAmplitude(-db)
	for from := hop - s.size; from < len(channels[0]); from += hop {
		s.analyse(channels, from)
		if s.mark(rootHz, less) {
			s.takeOut(taken, from)
		}
	}
	fade := max(fadeSec*float64(rateHz), 1)
	for c, channel := range channels {
		for i := max(onset, 0); i < len(channel); i++ {
			channel[i] -= float32(min(float64(i-onset)/fade, 1) * taken[c][i])
		}
	}
}

// analyse finds the spectrum of the frame that begins at from, with silence around the sound.
func (s *strays) analyse(channels [][]float32, from int) {
	clear(s.power)
	for c, channel := range channels {
		clear(s.frame)
		for i := max(-from, 0); i < min(s.size, len(channel)-from); i++ {
			s.frame[i] = float64(channel[from+i]) * s.window[i]
		}
		s.fft.Coefficients(s.bins[c], s.frame)
		for k, z := range s.bins[c] {
			s.power[k] += sound.PowerOf(z)
		}
	}
}

// mark finds what strays: the peaks off the harmonics, each with its flanks down to the lows beside it, and all that
// lies between the harmonics and is no flank of theirs. It says whether anything sounds there.
func (s *strays) mark(rootHz, less float64) (any bool) {
	clear(s.gain)
	isPeak := func(k int) bool { return s.power[k] > s.power[k-1] && s.power[k] >= s.power[k+1] }
	last := min(int(8.5*rootHz/s.binHz)+1, len(s.power)-2)
	for k := 1; k <= last; k++ {
		any = any || s.power[k] > 0
		if s.isBetween(float64(k)*s.binHz, rootHz) {
			s.gain[k] = less
		}
		if !isPeak(k) {
			continue
		}
		hz := (float64(k) + sound.PeakOffset(s.power[k-1], s.power[k], s.power[k+1])) * s.binHz
		if !hearing.IsOff(hz, rootHz) {
			continue
		}
		s.gain[k] = less
		for low := k - 1; low > 0 && s.power[low] < s.power[low+1]; low-- {
			s.gain[low] = less
		}
		for high := k + 1; high < len(s.power)-1 && s.power[high] < s.power[high-1]; high++ {
			s.gain[high] = less
		}
	}
	return any
}

// isBetween says whether a bin is off the harmonics and so far from them that no partial on one reaches it.
func (s *strays) isBetween(hz, rootHz float64) bool {
	const flank = 2.5 // bins of the main lobe of a Hann window, and half of one more
	nearest := rootHz * max(math.Round(hz/rootHz), 1)
	return math.Abs(hz-nearest) > flank*s.binHz && hearing.IsOff(hz, rootHz)
}

// takeOut adds what is to be subtracted from the frame that begins at from. Squared Hann windows that overlap four
// times add up to 1.5.
func (s *strays) takeOut(taken [][]float64, from int) {
	scale := 1 / (1.5 * float64(s.size)) // transforming there and back multiplies by the size
	for c, bins := range s.bins {
		for k, g := range s.gain {
			bins[k] *= complex(g, 0)
		}
		s.fft.Sequence(s.frame, bins)
		for i := max(-from, 0); i < min(s.size, len(taken[c])-from); i++ {
			taken[c][from+i] += s.frame[i] * s.window[i] * scale
		}
	}
}
