// Noise reduction: a smoothed spectral gate with a residual floor.

package clean

import (
	"math"

	"gonum.org/v1/gonum/dsp/fourier"

	"lapstrake/mapping/project"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes/measure"
)

// The gate looks at frames of about 46 ms (longer for low notes, so that it sees between their partials), four to a
// frame's length.
const (
	gateFrameSec     = 0.046
	gateOverlap      = 4
	gateBinsAPartial = 6 // least distance of partials, where the longest frame allows it
	longestGateSec   = 0.19
)

// What decides is the power against the noise's, averaged in time and frequency: over so many values that noise
// alone hardly ever comes near the threshold, and what it leaves open does not flutter.
const (
	wideFrames, wideBins = 4, 2 // to either side: the steady view
	wideShut, wideOpen   = 4.0, 10.0
	nearFrames, nearBins = 1, 1 // the quick view, which sees attacks
	nearShut, nearOpen   = 10.0, 25.0
	releaseSec           = 0.08 // how fast a bin shuts; it opens at once
)

// denoise reduces the noise between from and to of the trim and returns by how many dB at most: by what is missing to
// a clean take, up to the setting. Without pauses in which to learn the noise it goes half as far; a noise-like take
// without pauses is left alone, since its noise is its sound. It backs off where it would do harm (denoiseharm.go).
func denoise(channels [][]float32, rateHz int, t trim, fundamentalHz float64, m measure.Measures,
	set project.ConformSettings) float64 {
	if set.DenoiseDB <= 0 || math.IsNaN(m.SNRDB) || m.SNRDB >= set.CleanSNRDB {
		return 0
	}
	g := newGate(gateSize(rateHz, fundamentalHz))
	noise, fromPauses := g.noiseInPauses(channels, rateHz, t, fundamentalHz), true
	if noise == nil {
		fromPauses = false
		if m.Kind == measure.Noisy || math.IsNaN(fundamentalHz) {
			return 0
		}
		noise = g.noiseBetweenPartials(channels, rateHz, t, fundamentalHz)
	}
	total := 0.0
	for _, power := range noise {
		total += power
	}
	if total == 0 {
		return 0
	}
	snrDB := max(m.SNRDB, sound.PowerDB(g.meanPower(channels, t.onset, t.end)/total))
	reduceDB := min(set.CleanSNRDB-snrDB, set.DenoiseDB)
	if !fromPauses {
		reduceDB = min(reduceDB, set.DenoiseDB/2)
	}
	if !(reduceDB > 0) {
		return 0
	}
	// Without pauses, the quietest frames of what is struck are its own tail, and what lies between partials that are
	// not sure may be its sound.
	return g.runGently(channels, rateHz, t, noise, fromPauses || m.Kind != measure.Struck && m.Pitch.Sure(), reduceDB)
}

// gateSize is the length of a frame: a power of 2.
func gateSize(rateHz int, fundamentalHz float64) int {
	size := 64
	for float64(size) < gateFrameSec*float64(rateHz)*0.75 {
		size *= 2
	}
	for float64(size) < longestGateSec/2*float64(rateHz) &&
		fundamentalHz*float64(size) < gateBinsAPartial*float64(rateHz) {
		size *= 2
	}
	return size
}

// gate analyses frames under a Hann window and builds them up again under another; at four to a length the products
// add up to 3/2 everywhere. It serves one goroutine at a time.
type gate struct {
	fft                         *fourier.FFT
	sizeFrames, hopFrames, bins int
	window, frame               []float64
}

func newGate(sizeFrames int) *gate {
	g := &gate{
		fft: fourier.NewFFT(sizeFrames), sizeFrames: sizeFrames, hopFrames: sizeFrames / gateOverlap,
		bins:   sizeFrames/2 + 1,
		window: make([]float64, sizeFrames), frame: make([]float64, sizeFrames),
	}
	for i := range g.window {
		g.window[i] = sound.Hann(i, sizeFrames)
	}
	return g
}

// analyse fills in the spectrum of the frame of a channel that begins at from; outside the samples there is silence.
func (g *gate) analyse(spectrum []complex128, channel []float32, from int) {
	clear(g.frame)
	first, beyond := max(0, from), min(from+g.sizeFrames, len(channel))
	if first < beyond {
		inside, window := g.frame[first-from:beyond-from], g.window[first-from:beyond-from]
		for i, x := range channel[first:beyond] {
			inside[i] = float64(x) * window[i]
		}
	}
	g.fft.Coefficients(spectrum, g.frame)
}

// addPower adds the power of a spectrum's bins.
func addPower(power []float64, spectrum []complex128) {
	for k, z := range spectrum {
		power[k] += sound.PowerOf(z)
	}
}

// meanPower is the power between two frames in the measure of the spectra: as the sum over the bins of a frame.
func (g *gate) meanPower(channels [][]float32, from, to int) float64 {
	square := 0.0
	for _, channel := range channels {
		square += sound.MeanSquare(channel[from:to])
	}
	// Parseval: the bins up to the Nyquist frequency hold half the power, the squared window has a mean of 3/8.
	return square * 3. / 8 * float64(g.sizeFrames) * float64(g.sizeFrames) / 2
}
