// Resampling by any ratio, for tuning and for the change of rate, in one pass.

package sound

import (
	"math"
	"slices"
	"sync"
)

// The kernel is a sinc under a Kaiser window: images and aliases stay 100 dB down, and the band is whole up to 0.79
// of the lower Nyquist frequency (17.4 kHz from 44.1 kHz), −6 dB at 0.9.
const (
	// at ratios of 1 and above; stretched below, so that the cut comes down with the Nyquist frequency
	kernelTaps   = 64
	kernelPhases = 512 // between them the coefficients are interpolated linearly: errors under −110 dB
	fewestPhases = 16
	kernelBeta   = 10.5 // Kaiser & Schafer 1980: 0.1102·(A−8.7) for A = 104 dB
	kernelCut    = 1 - (104-8)/(2.285*kernelTaps)/(2*math.Pi)
)

// Resample stretches the channels to framesRatio times their frames; frame j is the input at j/framesRatio.
func Resample(channels [][]float32, framesRatio float64) {
	if framesRatio == 1 {
		return
	}
	r := resamplers.Get().(*resampler)
	defer resamplers.Put(r)
	r.design(min(1, framesRatio))
	frames := max(1, int(math.Ceil(float64(len(channels[0]))*framesRatio)))
	for i := range channels {
		r.padded[i] = r.pad(r.padded[i], channels[i])
	}
	if len(channels) == 1 {
		channels[0] = r.one(frames, 1/framesRatio)
		return
	}
	channels[0], channels[1] = r.two(frames, 1/framesRatio)
}

var resamplers = sync.Pool{New: func() any { return new(resampler) }}

// resampler holds one kernel and the padded input, kept from take to take.
type resampler struct {
	taps, phases int
	rows         []float32 // for each phase its taps coefficients, then what is added to each towards the next phase
	padded       [2][]float32
}

// design makes the kernel for a band of so much of the input's.
func (r *resampler) design(band float64) {
	half := int(math.Ceil(kernelTaps / 2 / band))
	r.taps = 2 * half
	r.phases = max(fewestPhases, int(kernelPhases*band))
	size := 2 * r.taps * r.phases
	r.rows = slices.Grow(r.rows[:0], size)[:size]
	this, next := make([]float64, r.taps), make([]float64, r.taps)
	r.coefficients(this, 0, band)
	for phase := range r.phases {
		r.coefficients(next, float64(phase+1)/float64(r.phases), band)
		row := r.rows[2*r.taps*phase:][:2*r.taps]
		for i := range this {
			row[i] = float32(this[i])
			row[r.taps+i] = float32(next[i] - this[i])
		}
		this, next = next, this
	}
}

// coefficients fills in the kernel for a frame that lies so far (0 to 1) behind the input frame at tap taps/2 − 1.
func (r *resampler) coefficients(taps []float64, behind, band float64) {
	cut := kernelCut * band
	sum := 0.0
	for i := range taps {
		x := float64(i-(len(taps)/2-1)) - behind
		taps[i] = Sinc(cut*x) * kaiser(x*band/(kernelTaps/2))
		sum += taps[i]
	}
	for i := range taps {
		taps[i] /= sum
	}
}

// pad gives the input zeros enough on both sides for the kernel to reach over its ends.
func (r *resampler) pad(padded, samples []float32) []float32 {
	size := len(samples) + 2*r.taps
	padded = slices.Grow(padded[:0], size)[:size]
	clear(padded[:r.taps])
	clear(padded[copy(padded[r.taps:], samples)+r.taps:])
	return padded
}

// row is the kernel's row and the fraction towards the next for the output frame at pos, and where its input begins.
func (r *resampler) row(pos float64) (base, towards []float32, fraction float32, from int) {
	whole := int(pos)
	at := (pos - float64(whole)) * float64(r.phases)
	phase := int(at)
	row := r.rows[2*r.taps*phase:][:2*r.taps]
	return row[:r.taps], row[r.taps:], float32(at - float64(phase)), min(whole-(r.taps/2-1)+r.taps,
		len(r.padded[0])-r.taps)
}

// one resamples one channel.
func (r *resampler) one(frames int, step float64) []float32 {
	out := make([]float32, frames)
	for j := range out {
		base, towards, fraction, from := r.row(float64(j) * step)
		in := r.padded[0][from:][:len(base)]
		towards = towards[:len(base)]
		var a, b, c, d float32 // four sums keep the processor from waiting for each
		i := 0
		for ; i+3 < len(base); i += 4 {
			a += (base[i] + fraction*towards[i]) * in[i]
			b += (base[i+1] + fraction*towards[i+1]) * in[i+1]
			c += (base[i+2] + fraction*towards[i+2]) * in[i+2]
			d += (base[i+3] + fraction*towards[i+3]) * in[i+3]
		}
		for ; i < len(base); i++ {
			a += (base[i] + fraction*towards[i]) * in[i]
		}
		out[j] = (a + b) + (c + d)
	}
	return out
}

// two resamples two channels, whose coefficients are interpolated once for both.
func (r *resampler) two(frames int, step float64) (left, right []float32) {
	left, right = make([]float32, frames), make([]float32, frames)
	for j := range left {
		base, towards, fraction, from := r.row(float64(j) * step)
		inLeft, inRight := r.padded[0][from:][:len(base)], r.padded[1][from:][:len(base)]
		towards = towards[:len(base)]
		var leftEven, leftOdd, rightEven, rightOdd float32
		for i := 0; i+1 < len(base); i += 2 {
			k := base[i] + fraction*towards[i]
			leftEven += k * inLeft[i]
			rightEven += k * inRight[i]
			k = base[i+1] + fraction*towards[i+1]
			leftOdd += k * inLeft[i+1]
			rightOdd += k * inRight[i+1]
		}
		left[j], right[j] = leftEven+leftOdd, rightEven+rightOdd
	}
	return left, right
}

// kaiser is the Kaiser window at −1 to 1, from a table: it is smooth enough for straight lines between its entries.
func kaiser(x float64) float64 {
	at := math.Abs(x) * kaiserEntries
	if at >= kaiserEntries {
		return 0
	}
	i := int(at)
	return kaiserTable[i] + (at-float64(i))*(kaiserTable[i+1]-kaiserTable[i])
}

const kaiserEntries = 1 << 13

var kaiserTable = func() (table [kaiserEntries + 1]float64) {
	for i := range table {
		x := float64(i) / kaiserEntries
		table[i] = BesselI0(kernelBeta*math.Sqrt(1-x*x)) / BesselI0(kernelBeta)
	}
	return table
}()
