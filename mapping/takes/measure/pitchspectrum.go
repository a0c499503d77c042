// The spectrum of a note averaged over its sounding part, without the noise around it, and its peaks.

package measure

import (
	"cmp"
	"math"
	"slices"

	"lapstrake/mapping/sound"

	"gonum.org/v1/gonum/dsp/fourier"
)

// pitchPeak is one partial (or one resonance, or a lump of noise) in an averaged spectrum.
type pitchPeak struct {
	hz     float64
	weight float64 // the square root of its amplitude, 1 for the strongest
}

// pitchSpectrum is what average finds.
type pitchSpectrum struct {
	peaks    []pitchPeak
	tonality float64 // share of the sound's power that lies in peaks, 0 to 1
}

const (
	pitchWindowSec  = 0.34 // window of the averaged spectrum, rounded up to a power of two frames
	pitchTopHz      = 10000
	pitchFloorHz    = 18
	pitchMaxFrames  = 64
	pitchMaxPeaks   = 100
	pitchRangeDB    = 60   // weaker peaks, against the strongest, are left out
	pitchLowHz      = 300  // below, a sound counts less
	pitchSkirt      = 0.12 // a peak this much weaker than a near neighbour is its skirt
	pitchSkirtBins  = 4
	pitchSkirtPart  = 0.03
	pitchCompress   = 0.33
	pitchOverNoise  = 2.5 // what was there before the note is taken off this many times
	pitchLevelPower = 0.3 // quiet frames count this much more than by their power alone: 0 not at all, 1 as loud ones
)

// pitchAnalyser holds the transforms and buffers for one take.
type pitchAnalyser struct {
	rateHz     float64
	sizeFrames int
	transforms map[int]*fourier.FFT
	frame      []float64
	bins       []complex128
}

func newPitchAnalyser(rate float64) *pitchAnalyser {
	size := 1 << int(math.Ceil(math.Log2(pitchWindowSec*rate)))
	return &pitchAnalyser{rateHz: rate, sizeFrames: size, transforms: map[int]*fourier.FFT{},
		frame: make([]float64, size), bins: make([]complex128, size/2+1)}
}

// transform gives the spectrum of x, Hann-windowed over its length and zero-padded to size; a sine of amplitude 1
// between bins gives about 1. The result lasts until the next call.
func (a *pitchAnalyser) transform(x []float64, size int, bins []complex128) []complex128 {
	fft := a.transforms[size]
	if fft == nil {
		fft = fourier.NewFFT(size)
		a.transforms[size] = fft
	}
	n := min(len(x), size)
	frame := a.frame[:size]
	// cos(2π(i+½)/n) by rotation: as exact as needed over these lengths and far cheaper.
	turn := 2 * math.Pi / float64(n)
	c, s := math.Cos(turn/2), math.Sin(turn/2)
	dc, ds := math.Cos(turn), math.Sin(turn)
	gain := 2 / float64(n)
	for i := range n {
		frame[i] = x[i] * gain * (1 - c)
		c, s = c*dc-s*ds, s*dc+c*ds
	}
	clear(frame[n:])
	return fft.Coefficients(bins[:size/2+1], frame)
}

// power adds the power spectra of up to pitchMaxFrames half-overlapping windows of x to sum, each scaled by its own
// power to the −levelPower, and returns how many windows there were and the sum of the scales.
func (a *pitchAnalyser) power(x []float64, levelPower float64, sum []float64) (frames int, scales float64) {
	n := min(len(x), a.sizeFrames)
	frames = min(max((len(x)-n)/(n/2)+1, 1), pitchMaxFrames)
	for f := range frames {
		at := 0
		if frames > 1 {
			at = f * (len(x) - n) / (frames - 1)
		}
		part := x[at : at+n]
		own := 1e-20
		for _, v := range part {
			own += v * v
		}
		scale := math.Pow(own/float64(n), -levelPower) / float64(frames)
		scales += scale
		for i, c := range a.transform(part, a.sizeFrames, a.bins)[:len(sum)] {
			sum[i] += scale * sound.PowerOf(c)
		}
	}
	return frames, scales
}

// average gives the peaks of the sounding part.
func (a *pitchAnalyser) average(x []float64, part pitchPart) pitchSpectrum {
	binHz := a.rateHz / float64(a.sizeFrames)
	top := min(int(pitchTopHz/binHz), a.sizeFrames/2*9/10)
	bottom := int(pitchFloorHz / binHz)
	note := make([]float64, top+3)
	frames, scales := a.power(x[part.begin:part.end], pitchLevelPower, note)
	floor := spectrumFloor(note, frames)
	total, tonal := 1e-30, 0.0
	for i, noise := range a.around(x, part, len(note)) {
		note[i] = max(note[i]-scales*noise, 0)
		if i >= bottom {
			total += note[i]
		}
	}
	var peaks []pitchPeak
	for i := max(bottom, 2); i < top; i++ {
		if note[i] <= floor[i] || note[i] < note[i-1] || note[i] <= note[i+1] {
			continue
		}
		lo, hi := i, i
		for lo > bottom && note[lo-1] < note[lo] {
			lo--
		}
		for hi < top && note[hi+1] < note[hi] {
			hi++
		}
		sum := 0.0
		for _, p := range note[lo : hi+1] {
			sum += p
		}
		tonal += sum
		hz := (float64(i) + sound.PeakOffset(note[i-1], note[i], note[i+1])) * binHz
		peaks = append(peaks, pitchPeak{hz: hz, weight: note[i] * loudnessOf(hz)})
	}
	return pitchSpectrum{peaks: heardPeaks(peaks, binHz), tonality: min(tonal/total, 1)}
}

// loudnessOf is how much the ear makes of the power at a frequency: rumble and knocks count little, the partials
// of a bass much more than its fundamental. A rough second-order stand-in for the low side of IEC 61672's A curve.
func loudnessOf(hz float64) float64 {
	low := hz * hz / (hz*hz + pitchLowHz*pitchLowHz)
	return low * low
}

// heardPeaks turns powers into weights, strongest first, and drops peaks that are far below the strongest or hide in
// the skirt of a stronger neighbour.
func heardPeaks(peaks []pitchPeak, binHz float64) []pitchPeak {
	slices.SortFunc(peaks, func(p, q pitchPeak) int { return cmp.Compare(q.weight, p.weight) })
	var heard []pitchPeak
	for _, p := range peaks {
		if len(heard) == pitchMaxPeaks || p.weight < peaks[0].weight*sound.DBToPower(-pitchRangeDB) {
			break
		}
		hidden := slices.ContainsFunc(heard, func(q pitchPeak) bool {
			apart := math.Abs(p.hz - q.hz)
			return apart < max(pitchSkirtBins*binHz/2, pitchSkirtPart*q.hz/2) ||
				p.weight < q.weight*pitchSkirt && apart < max(pitchSkirtBins*binHz, pitchSkirtPart*q.hz)
		})
		if !hidden {
			heard = append(heard, p)
		}
	}
	for i := range heard {
		heard[i].weight = math.Pow(heard[i].weight, pitchCompress)
	}
	for i := len(heard) - 1; i >= 0; i-- {
		heard[i].weight /= heard[0].weight
	}
	return heard
}

// around is the power spectrum of what surrounds the note, the louder of before and after, spread by two bins and
// scaled up by pitchOverNoise.
func (a *pitchAnalyser) around(x []float64, part pitchPart, n int) []float64 {
	loudest := make([]float64, n)
	for _, y := range [][]float64{x[:part.before], x[part.after:]} {
		if float64(len(y)) < pitchNoiseSec*a.rateHz {
			continue
		}
		p := make([]float64, n)
		a.power(y, 0, p)
		for i := range p {
			for _, q := range p[max(i-2, 0):min(i+3, n)] {
				loudest[i] = max(loudest[i], pitchOverNoise*q)
			}
		}
	}
	return loudest
}

// spectrumFloor is the level that a bin must exceed to be more than a chance lump of noise, when the spectrum is
// the mean of so many windows: found from the 30th percentile of the bins around it.
func spectrumFloor(p []float64, frames int) []float64 {
	const block = 32
	n := 1 + 0.7*float64(frames-1) // windows that overlap by half are not quite independent
	up := (1 + 5/math.Sqrt(n) + 6/n) / (1 - 0.64/math.Sqrt(n))
	floor := make([]float64, len(p))
	var sorted []float64
	for at := 0; at < len(p); at += block {
		sorted = append(sorted[:0], p[max(at-block, 0):min(at+2*block, len(p))]...)
		slices.Sort(sorted)
		level := up * sorted[len(sorted)*3/10]
		for i := at; i < min(at+block, len(p)); i++ {
			floor[i] = level
		}
	}
	return floor
}

// pitchSamples makes x from mono: float64, without DC, at no more than about 50 kHz.
func pitchSamples(mono []float32, rateHz int) (x []float64, rate float64) {
	factor := max(int(math.Round(float64(rateHz)/48000)), 1)
	n := max(len(mono)/factor, 1)
	x = make([]float64, n)
	mean := 0.0
	for i := range x {
		sum := 0.0
		for _, v := range mono[i*factor : min((i+1)*factor, len(mono))] {
			sum += float64(v)
		}
		x[i] = sum / float64(factor)
		mean += x[i] / float64(n)
	}
	for i := range x {
		x[i] -= mean
	}
	return x, float64(rateHz) / float64(factor)
}
