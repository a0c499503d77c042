// Mains hum: steady lines at the multiples of 50 or 60 Hz.

package measure

import (
	"math"
	"slices"

	"lapstrake/mapping/sound"
)

const (
	humRateHz     = 2400 // enough for eight harmonics of 60 Hz and the slope of the filter
	humHarmonics  = 8
	humSegmentSec = 1.0
	humLeastSec   = 0.3 // shorter sound cannot tell hum from anything
	humPauseSec   = 0.4 // of pause in which hum is looked for alone
	humLineOver   = 15  // power of a line over its surroundings
	humOffHz      = 0.4 // how far mains and clocks may be off
	humUnderSound = 20  // power of the sound over that of hum that is heard through it
)

// measureHum fills in the mains' frequency and the level of its lines together.
func measureHum(samples []float32, rateHz, onset, end int, m *Measures) {
	from, to, pause := humStretch(len(samples), rateHz, onset, end)
	low, lowRateHz := decimated(samples[from:to], rateHz)
	segment := int(math.Min(humSegmentSec, math.Floor(10*float64(len(low))/lowRateHz)/10) * lowRateHz)
	if float64(segment) < humLeastSec*lowRateHz {
		return
	}
	lines := newHumLines(low, segment, lowRateHz)
	best, mainsHz := 0.0, 0
	for _, hz := range []int{50, 60} {
		if power := lines.mains(float64(hz)); power > best {
			best, mainsHz = power, hz
		}
	}
	if mainsHz == 0 || !pause && best*humUnderSound > sound.MeanSquare(samples[onset:end]) {
		return
	}
	m.HumDBFS, m.HumMainsHz = sound.PowerDB(best), mainsHz
}

// humStretch gives the longer of the pauses before and after the sound when it is long enough, else everything.
func humStretch(frames, rateHz, onset, end int) (from, to int, pause bool) {
	guard := int(pauseGuardSec * float64(rateHz))
	before, after := onset-guard, frames-end-guard
	switch needed := int(humPauseSec * float64(rateHz)); {
	case max(before, after) < needed:
		return 0, frames, false
	case before >= after:
		return 0, before, true
	}
	return end + guard, frames, true
}

// decimated lowers the rate to about 2400 Hz through a windowed sinc (Hann) of eight periods of the new rate.
func decimated(samples []float32, rateHz int) (low []float64, lowRateHz float64) {
	by := max(1, rateHz/humRateHz)
	if by == 1 {
		low = make([]float64, len(samples))
		for i, x := range samples {
			low[i] = float64(x)
		}
		return low, float64(rateHz)
	}
	taps := make([]float64, 8*by+1)
	sum := 0.0
	for i := range taps {
		x := float64(i-4*by) / float64(by)
		taps[i] = 0.5 + 0.5*math.Cos(math.Pi*x/4)
		if x != 0 {
			taps[i] *= math.Sin(0.8*math.Pi*x) / (0.8 * math.Pi * x)
		}
		sum += taps[i]
	}
	for i := range taps {
		taps[i] /= sum
	}
	for at := 0; at+len(taps) <= len(samples); at += by {
		y := 0.0
		for i, x := range samples[at : at+len(taps)] {
			y += taps[i] * float64(x)
		}
		low = append(low, y)
	}
	return low, float64(rateHz) / float64(by)
}

// humLines are the spectra of the segments of a stretch, in which lines must stand all the time.
type humLines struct {
	binHz   float64
	spectra [][]float64
}

func newHumLines(low []float64, segment int, rateHz float64) *humLines {
	analyser := sound.NewSpectrum(segment)
	h := &humLines{binHz: rateHz / float64(segment)}
	frame := make([]float32, segment)
	for at := 0; at+segment <= len(low); at += (segment + 1) / 2 {
		for i, x := range low[at : at+segment] {
			frame[i] = float32(x)
		}
		h.spectra = append(h.spectra, slices.Clone(analyser.At(frame, segment/2)))
	}
	return h
}

// mains is the power of the lines of one mains frequency; 0 unless the fundamental or its octave stands out, as
// transformers and rectifiers make them, and another line or both with it.
func (h *humLines) mains(mainsHz float64) float64 {
	power, lines := 0.0, 0
	first := false
	for k := 1; k <= humHarmonics; k++ {
		if line := h.line(mainsHz * float64(k)); line > 0 {
			power += line
			lines++
			first = first || k <= 2
		}
	}
	if !first || lines < 2 {
		return 0
	}
	return power
}

// line is the power of a steady line at a frequency, 0 when none stands there: in the quietest fifth of the segments
// it still stands over its surroundings, and its centre is where the mains has it.
func (h *humLines) line(hz float64) float64 {
	bin := int(math.Round(hz / h.binHz))
	if bin < 6 || bin+6 >= len(h.spectra[0]) {
		return 0
	}
	var line, around []float64
	left, right := 0.0, 0.0
	for _, s := range h.spectra {
		line = append(line, s[bin-1]+s[bin]+s[bin+1])
		near := []float64{s[bin-6], s[bin-5], s[bin-4], s[bin+4], s[bin+5], s[bin+6]}
		slices.Sort(near)
		around = append(around, 3*(near[2]+near[3])/2)
		left, right = left+s[bin-1], right+s[bin+1]
	}
	slices.Sort(line)
	slices.Sort(around)
	lowest := len(line) / 5
	if line[lowest] < humLineOver*around[lowest] || math.Abs(offCentre(left, right))*h.binHz > humOffHz {
		return 0
	}
	return line[lowest]
}

// offCentre is how many bins above the middle bin a line lies, from the powers one bin below and one above it. Under a
// Hann window the amplitudes there are as (1−δ)(2−δ) to (1+δ)(2+δ), so that their difference over their sum is
// 6δ/(4+2δ²).
func offCentre(left, right float64) float64 {
	l, r := math.Sqrt(left), math.Sqrt(right)
	return (r - l) / (r + l) * 2 / 3
}
