// Drawing out: a short held take goes on for as long as it is needed by a phase vocoder, without a period and a
// splice.

package arrange

import (
	"math"
	"math/cmplx"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"

	"lapstrake/mapping/sound"
)

const (
	drawnSizeSec = 0.17 // longest frame: long enough to tell the partials of 35 Hz apart,
	drawnFrames  = 2.5  // but the stretch holds so many of them at least
	drawnOverlap = 4    // frames to a frame's length
	drawnPlaces  = 2    // places at which the stretch is analysed to a hop
	sweepSec     = 1.2  // it takes so long or longer to go through the stretch from end to end, and to turn,
	sweepMostSec = 2.4  // and up to so long; but never less than the stretch lasts

	// A partial stands out of what is around it in a frame by so much; noise, by less (its highest of forty bins lies
	// 11 dB above its lower quartile). What is within two bins of partials in a third of the frames is no noise.
	partialDB     = 16
	partialAround = 24 // bins to either side
	lobeBins      = 2
	partialShare  = 1. / 3

	// Frames of noise whose phases are free add up by their powers, so under these windows to less than those in phase
	// do.
	freePhaseGain = 1.434
)

// vocoder knows a stretch of a take by its spectra at many places.
type vocoder struct {
	size, hop, step int // frames; step is from one place to the next
	rateHz          int
	fft             *fourier.FFT
	window, frame   []float64
	channels        int
	places          [][][]complex128 // place, channel, bin; channel 0 is the sum where there are two more
	// channel, bin: its root mean square over all places where it is noise; 0 where it is not
	noise [][]float64
}

// newVocoder analyses a stretch. Sums of both sides come first, since the phases of partials are followed in them.
func newVocoder(region stem, rateHz int) *vocoder {
	size := 64
	for 2*size <= int(drawnSizeSec*float64(rateHz)) && float64(2*size) <= float64(len(region.left))/drawnFrames {
		size *= 2
	}
	v := &vocoder{size: size, hop: size / drawnOverlap, step: size / drawnOverlap / drawnPlaces, rateHz: rateHz,
		fft: fourier.NewFFT(size)}
	v.window, v.frame = make([]float64, size), make([]float64, size)
	for i := range v.window {
		v.window[i] = sound.Hann(i, size)
	}
	channels := region.channels()
	v.channels = len(channels)
	for at := 0; at+size <= len(region.left); at += v.step {
		var spectra [][]complex128
		for _, channel := range channels {
			for i, x := range channel[at : at+size] {
				v.frame[i] = float64(x) * v.window[i]
			}
			spectra = append(spectra, v.fft.Coefficients(nil, v.frame))
		}
		if len(spectra) == 2 {
			sum := slices.Clone(spectra[0])
			for k, z := range spectra[1] {
				sum[k] += z
			}
			spectra = append([][]complex128{sum}, spectra...)
		}
		v.places = append(v.places, spectra)
	}
	v.learnNoise()
	return v
}

// learnNoise tells noise from partials, bin by bin.
func (v *vocoder) learnNoise() {
	bins := v.size/2 + 1
	partial, powers, looked := make([]float64, bins), make([]float64, bins), 0.0
	over := sound.DBToPower(partialDB)
	around := make([]float64, 0, 3*partialAround)
	for place := 0; place < len(v.places); place += drawnPlaces {
		looked++
		for k, z := range v.places[place][0] {
			powers[k] = sound.PowerOf(z)
		}
		last := -1
		for from := 0; from < bins; from += partialAround {
			to := min(from+partialAround, bins)
			around = append(around[:0], powers[max(from-partialAround, 0):min(to+partialAround, bins)]...)
			slices.Sort(around)
			floor := around[len(around)/4] * over
			for k := max(from, 1); k < min(to, bins-1); k++ {
				if powers[k] > floor && powers[k] >= powers[k-1] && powers[k] >= powers[k+1] {
					for near := max(k-lobeBins, last+1); near <= min(k+lobeBins, bins-1); near++ {
						partial[near]++
						last = near
					}
				}
			}
		}
	}
	for _, of := range v.places[0] {
		v.noise = append(v.noise, make([]float64, len(of)))
	}
	for k := range bins {
		if partial[k] >= partialShare*looked {
			continue
		}
		for c, noise := range v.noise {
			sum := 0.0
			for _, place := range v.places {
				sum += sound.PowerOf(place[c][k])
			}
			noise[k] = math.Sqrt(sum / float64(len(v.places)))
		}
	}
}

// draw fills a stem from its first frame to its last. It goes to and fro through the stretch, slowly, between places
// that chance chooses, frame by frame: each partial goes on from the phase that it had, as fast as it turns at the
// place read (Laroche & Dolson 1999: phases locked to those of peaks), and noise has free phases and stands as it is
// on average (Serra & Smith 1990).
func (v *vocoder) draw(out *stem, c chance) {
	out.clear()
	reader := newWander(len(v.places)-drawnPlaces, float64(v.step)/float64(v.rateHz), c)
	bins := v.size/2 + 1
	// the spectrum that the sum of both sides was given
	before, now := make([]complex128, bins), make([]complex128, bins)
	turns, spectrum := make([]complex128, bins), make([]complex128, bins)
	sides := [][]float32{out.left, out.right}
	scale := 1 / (1.5 * float64(v.size)) // squared Hann windows at four to a length add up to 3/2
	for at := v.hop - v.size; at < len(out.left); at += v.hop {
		place := reader.next(float64(v.hop)/float64(v.step)) + drawnPlaces
		here, earlier := v.places[place], v.places[place-drawnPlaces]
		v.follow(turns, before, here[0], earlier[0], at == v.hop-v.size)
		for k := range turns {
			if v.noise[0][k] > 0 {
				turns[k] = cmplx.Rect(1, 2*math.Pi*c.unit())
			}
			now[k] = here[0][k] * turns[k]
		}
		before, now = now, before
		for side, samples := range sides[:v.channels] {
			of := side + len(here) - v.channels
			for k, z := range here[of] {
				if rms := v.noise[of][k]; rms > 0 {
					z *= complex(freePhaseGain*rms/(cmplx.Abs(z)+1e-30), 0)
				}
				spectrum[k] = z * turns[k]
			}
			v.fft.Sequence(v.frame, spectrum)
			for i := max(0, -at); i < min(v.size, len(samples)-at); i++ {
				samples[at+i] += float32(v.frame[i] * v.window[i] * scale)
			}
		}
	}
	if v.channels == 1 {
		copy(out.right, out.left)
	}
}

// follow finds by how much each bin is turned: the bins around a peak as the peak, which goes on from where it was.
func (v *vocoder) follow(turns, before, here, earlier []complex128, first bool) {
	if first {
		for k := range turns {
			turns[k] = 1
		}
		return
	}
	power := func(k int) float64 { return sound.PowerOf(here[k]) }
	from, peak := 0, -1
	give := func(to int) {
		if peak < 0 {
			peak = min(from, len(turns)-1)
		}
		turn := before[peak] * cmplx.Conj(earlier[peak])
		if size := cmplx.Abs(turn); size > 0 {
			turn /= complex(size, 0)
		} else {
			turn = 1
		}
		for k := from; k < to; k++ {
			turns[k] = turn
		}
		from = to
	}
	lowest := 0
	for k := 2; k < len(here)-2; k++ {
		if p := power(k); p >= power(k-1) && p >= power(k-2) && p > power(k+1) && p > power(k+2) {
			if peak >= 0 {
				give(lowest)
			}
			peak, lowest = k, k+1
		} else if p < power(min(lowest, len(here)-1)) {
			lowest = k
		}
	}
	give(len(turns))
}

// wander goes to and fro between places, slowly and without a period.
type wander struct {
	last    int
	at      float64
	target  float64
	slowest float64 // places to go for each place of sound, at the least,
	fastest float64 // and at the most
	speed   float64
	c       chance
}

func newWander(places int, stepSec float64, c chance) *wander {
	last := max(places-1, 0)
	sec := float64(last) * stepSec
	w := &wander{last: last, slowest: min(sec/sweepMostSec, 1), fastest: min(sec/sweepSec, 1), c: c}
	w.at = c.unit() * float64(last)
	w.turn()
	return w
}

// turn chooses where to go next: at least a third of the way from end to end.
func (w *wander) turn() {
	far := float64(w.last) / 3
	low, high := w.at-far, w.at+far // it goes below the one or above the other
	room := max(low, 0) + max(float64(w.last)-high, 0)
	if pick := w.c.unit() * room; pick < low {
		w.target = pick
	} else {
		w.target = high + pick - max(low, 0)
	}
	w.speed = w.c.between(w.slowest, w.fastest)
}

// next goes on by so many places of sound and gives the place that is nearest.
func (w *wander) next(places float64) int {
	by := w.speed * places
	if distance := w.target - w.at; math.Abs(distance) <= by {
		w.at = min(max(w.target, 0), float64(w.last))
		w.turn()
	} else {
		w.at += math.Copysign(by, distance)
	}
	return min(max(int(math.Round(w.at)), 0), w.last)
}
