// Keeping the lowest partials only: softens a take down to a hum of its note.

package clean

import (
	"math"

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

// convolve filters the channels by an odd number of symmetric taps, without delay, by overlap-save (Oppenheim & Schafer,
// 8.7.3). Left and right are the real and imaginary part of one signal.
func convolve(channels [][]float32, taps []float64) {
	left, right := channels[0], channels[len(channels)-1]
	half, overlap := len(taps)/2, len(taps)-1
	size := 1024
	for size < 4*len(taps) {
		size *= 2
	}
	transform := sound.NewFFT(size)
	response, block := make([]sound.Complex, size), make([]sound.Complex, size)
	for i, tap := range taps {
		response[i].Re = float32(tap / float64(size)) // transforming there and back multiplies by the size
	}
	transform.Forward(response)
	fresh := size - overlap
	before := make([]sound.Complex, overlap) // the input is overwritten: this is what the next block still needs of it
	for from := 0; from < len(left)+half; from += fresh {
		copy(block, before)
		clear(block[overlap:])
		for i := range min(fresh, len(left)-from) {
			block[overlap+i] = sound.Complex{Re: left[from+i], Im: right[from+i]}
		}
		copy(before, block[fresh:])
		transform.Forward(block)
		for k, h := range response {
			b := block[k]
			block[k] = sound.Complex{Re: b.Re*h.Re - b.Im*h.Im, Im: b.Re*h.Im + b.Im*h.Re}
		}
		transform.Back(block)
		for i := max(0, half-from); i < min(fresh, len(left)+half-from); i++ {
			left[from+i-half], right[from+i-half] = block[overlap+i].Re, block[overlap+i].Im
		}
	}
}
