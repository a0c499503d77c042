// Brightness, bandwidth and noisiness, from one average spectrum that the noise measure uses too.

package measure

import (
	"math"

	"lapstrake/mapping/sound"
)

const (
	takeWindowSec  = 0.17 // resolves the partials of the lowest piano key
	takeSpectra    = 400  // at most so many, evenly spaced
	bandwidthDB    = 60   // under the loudest band
	bandAboveNoise = 4    // times the noise
	lowestHearHz   = 20
)

// takeSpectrum is the mean power spectrum of a take from onset to end, and that of the noise in it.
type takeSpectrum struct {
	binHz   float64
	power   []float64 // of each bin in the sounding part
	between []float64 // of the noise between the partials, in each band where in the take there is least
	before  []float64 // of the pause before the onset; nil when it is too short
	early   []float64 // of the first half of that pause
	after   []float64 // of that after the end
	shared  float64   // share of the power that lies between the partials
}

// newTakeSpectrum looks at the sounding part through windows that overlap by half; a shorter take is looked at whole.
func newTakeSpectrum(samples []float32, rateHz, onset, end int) *takeSpectrum {
	analyser := sound.BorrowSpectrum(sound.PowerOfTwo(takeWindowSec, rateHz))
	defer analyser.GiveBack()
	t := &takeSpectrum{binHz: float64(rateHz) / float64(analyser.SizeFrames),
		power: make([]float64, len(analyser.Power))}
	run := make([]float64, len(analyser.Power))
	spectra, inRun := 0, 0
	first, last := onset+analyser.SizeFrames/2, end-analyser.SizeFrames/2
	if last < first {
		first = (onset + end) / 2
		last = first
	}
	hop := max(analyser.SizeFrames/2, (last-first)/takeSpectra)
	for at := first; at <= last; at += hop {
		for i, p := range analyser.At(samples[:end], at) {
			t.power[i] += p
			run[i] += p
		}
		spectra++
		if inRun++; inRun == partialRun || at+hop > last && t.between == nil {
			noise := noiseBetween(run, inRun, t.binHz)
			scale(noise, 1/float64(inRun))
			t.between = least(t.between, noise)
			inRun = 0
			clear(run)
		}
	}
	smoothNoise(t.between, t.binHz)
	scale(t.power, 1/float64(spectra))
	t.shared = min(1, sumOf(noiseBetween(t.power, spectra, t.binHz))/sumOf(t.power[int(lowestHearHz/t.binHz)+1:]))
	guard := int(pauseGuardSec * float64(rateHz))
	t.before = pauseSpectrum(analyser, samples[:max(0, onset-guard)], rateHz)
	t.early = pauseSpectrum(analyser, samples[:max(0, onset-guard)/2], rateHz)
	t.after = pauseSpectrum(analyser, samples[min(len(samples), end+guard):], rateHz)
	return t
}

// pauseSpectrum is the mean spectrum of a pause, digital silence left out; nil when there is too little of it.
func pauseSpectrum(analyser *sound.Spectrum, pause []float32, rateHz int) []float64 {
	if float64(len(pause)) < pauseNeededSec*float64(rateHz) {
		return nil
	}
	var sum []float64
	n := 0.0
	first, last := analyser.SizeFrames/2, len(pause)-analyser.SizeFrames/2
	if last < first {
		first = len(pause) / 2
		last = first
	}
	hop := max(analyser.SizeFrames/2, (last-first)/(takeSpectra/4))
	for at := first; at <= last; at += hop {
		power := analyser.At(pause, at)
		if sumOf(power) < digitalSilence {
			continue
		}
		if sum == nil {
			sum = make([]float64, len(power))
		}
		for i, p := range power {
			sum[i] += p
		}
		n++
	}
	scale(sum, 1/n)
	return sum
}

// least is the lesser of two values, place by place; of none and some it is those.
func least(a, b []float64) []float64 {
	for i := range a {
		b[i] = min(a[i], b[i])
	}
	return b
}

func scale(values []float64, by float64) {
	for i := range values {
		values[i] *= by
	}
}

// noise is that of the pauses, else what is between the partials.
func (t *takeSpectrum) noise() []float64 {
	switch {
	case t.before != nil:
		return t.before
	case t.after != nil:
		return t.after
	}
	return t.between
}

// measureSpectrum fills in noisiness, brightness and bandwidth. Brightness is the centroid on the scale of ERB numbers
// of the bands' amplitudes (square roots of their powers), given in hertz: ERB bands are what the ear adds up
// (Glasberg & Moore 1990), amplitudes weigh the weak upper partials nearer to how they sound than powers do.
func measureSpectrum(t *takeSpectrum, m *Measures) {
	m.Noisiness = t.shared
	bands, noise := t.erbBands(t.power), t.erbBands(t.noise())
	var sum, weighted, highest float64
	for i := range bands {
		highest = max(highest, bands[i])
		if bands[i] > bandAboveNoise*noise[i] || m.Noisiness > 0.5 {
			amplitude := math.Sqrt(bands[i])
			sum += amplitude
			weighted += amplitude * (float64(i) + 0.5)
		}
	}
	if sum > 0 {
		m.BrightnessHz = sound.ERBHz(weighted / sum)
	}
	threshold := highest * sound.DBToPower(-bandwidthDB)
	for i := range bands {
		if bands[i] > threshold && (bands[i] > bandAboveNoise*noise[i] || m.Noisiness > 0.5) {
			m.BandwidthHz = min(sound.ERBHz(float64(i+1)), t.binHz*float64(len(t.power)-1))
		}
	}
}

// erbBands adds a spectrum up in bands one ERB wide, numbered from 0 Hz.
func (t *takeSpectrum) erbBands(power []float64) []float64 {
	top := int(sound.ERBNumber(t.binHz*float64(len(power)-1))) + 1
	bands := make([]float64, top)
	for i, p := range power {
		if hz := float64(i) * t.binHz; hz >= lowestHearHz {
			bands[min(int(sound.ERBNumber(hz)), top-1)] += p
		}
	}
	return bands
}
