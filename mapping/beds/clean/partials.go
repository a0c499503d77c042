// Keeping the lowest partials only: softens a take down to a hum of its note.

package clean

import (
	"math"

	"gonum.org/v1/gonum/dsp/fourier"

	"lapstrake/mapping/sound"
)

// keptPartials is how many partials a take keeps: its own word before the setting's; 0: all of them.
func keptPartials(own, set int, fundamentalHz float64) int {
	kept := set
	if own != 0 {
		kept = own
	}
	if kept < 0 || math.IsNaN(fundamentalHz) {
		return 0
	}
	return kept
}

// The low-pass is a linear-phase sinc under a Kaiser window, which falls by 80 dB in the middle 60 % of the
// way from the last partial that is kept to the next: partials may stray and still be whole or gone.
const (
	partialsStopDB = 80
	partialsBeta   = 0.1102 * (partialsStopDB - 8.7) // Kaiser & Schafer 1980
	partialsWidth  = 0.6                             // of the fundamental
)

// cutAbovePartial removes what lies above so many partials of the fundamental; 0 partials: nothing is removed.
func cutAbovePartial(channels [][]float32, rateHz int, fundamentalHz float64, partials int) {
	cut := (float64(partials) + 0.5) * fundamentalHz / float64(rateHz) // cycles a frame
	if partials == 0 || cut >= 0.5 {
		return
	}
	width := 2 * math.Pi * partialsWidth * fundamentalHz / float64(rateHz)
	half := int(math.Ceil((partialsStopDB - 8) / (2.285 * width) / 2))
	taps := make([]float64, 2*half+1)
	sum := 0.0
	for i := range taps {
		x := float64(i - half)
		edge := x / float64(half+1)
		taps[i] = sound.Sinc(2*cut*x) * sound.BesselI0(partialsBeta*math.Sqrt(1-edge*edge))
		sum += taps[i]
	}
	for i := range taps {
		taps[i] /= sum
	}
	convolve(channels, taps)
}

// convolve filters the channels by an odd number of symmetric taps, without delay, by overlap-save (Oppenheim &
// Schafer, 8.7.3).
func convolve(channels [][]float32, taps []float64) {
	half, overlap := len(taps)/2, len(taps)-1
	size := 1024
	for size < 4*len(taps) {
		size *= 2
	}
	fft := fourier.NewFFT(size)
	block := make([]float64, size)
	for i, tap := range taps {
		block[i] = tap / float64(size) // transforming there and back multiplies by the size
	}
	response, bins := fft.Coefficients(nil, block), make([]complex128, size/2+1)
	fresh := size - overlap
	before := make([]float64, overlap) // the input is overwritten: this is what the next block still needs of it
	for _, channel := range channels {
		clear(before)
		for from := 0; from < len(channel)+half; from += fresh {
			copy(block, before)
			clear(block[overlap:])
			for i := range min(fresh, len(channel)-from) {
				block[overlap+i] = float64(channel[from+i])
			}
			copy(before, block[fresh:])
			fft.Coefficients(bins, block)
			for k, h := range response {
				bins[k] *= h
			}
			fft.Sequence(block, bins)
			for i := max(0, half-from); i < min(fresh, len(channel)+half-from); i++ {
				channel[from+i-half] = float32(block[overlap+i])
			}
		}
	}
}
