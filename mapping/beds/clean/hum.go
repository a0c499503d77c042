// Mains hum: lines at the mains frequency and its harmonics are taken out where they are not the take's own sound.

package clean

import (
	"math"
	"math/cmplx"
	"slices"

	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes/measure"
)

const (
	highestHumHz    = 1000
	humLineDB       = 12   // a line stands out by this above what is around it
	humStrayHz      = 0.3  // how far mains stray from their nominal frequency
	humBesideHz     = 1.5  // this far from a line its surroundings begin,
	humAroundHz     = 12   // and here they end
	humSmoothSec    = 0.7  // of each of three running means: a line 3 Hz away is 60 dB down in what they pass
	humGuardHz      = 1.8  // partials nearer than this to a line would lose level
	humPauseDB      = 6    // hum in the pauses is no weaker than this below what is taken out
	shortestHumSec  = 0.25 // nothing shorter can tell hum from sound
	humAnalysisHz   = 4000 // least rate at which lines are looked for
	humStretchSec   = 0.4  // of pause that a line's power is told from: longer than most words
	shortestPauseIn = 0.2  // seconds outside the sound, for the comparison with the pauses
)

// removeHum subtracts the lines and returns their frequencies.
func removeHum(channels [][]float32, rateHz int, t trim, fundamentalHz float64, m measure.Measures) []float64 {
	frames := len(channels[0])
	if m.HumMainsHz <= 0 || float64(frames) < shortestHumSec*float64(rateHz) {
		return nil
	}
	// A short take's window cannot tell lines apart that a long one can.
	guardHz := max(humGuardHz, 1.5*float64(rateHz)/float64(frames))
	isOwn := func(hz float64) bool { return nearPartial(hz, fundamentalHz, guardHz, m.Pitch.DriftCents) }
	spectrum := newHumSpectrum(channels, rateHz)
	mainsHz := spectrum.mains(float64(m.HumMainsHz), isOwn)
	var removed []float64
	for k := 1.0; k*mainsHz < spectrum.beyondHz; k++ {
		lineHz := k * mainsHz
		if spectrum.standsOutDB(lineHz) >= humLineDB && !isOwn(lineHz) && removeLine(channels, rateHz, t, lineHz) {
			removed = append(removed, lineHz)
		}
	}
	return removed
}

// nearPartial tells whether a line is so near to a partial that both cannot be told apart.
func nearPartial(lineHz, fundamentalHz, guardHz, driftCents float64) bool {
	if math.IsNaN(fundamentalHz) {
		return false
	}
	partial := max(1, math.Round(lineHz/fundamentalHz))
	if !math.IsNaN(driftCents) {
		guardHz += partial * fundamentalHz * (math.Exp2(math.Abs(driftCents)/1200) - 1)
	}
	return math.Abs(lineHz-partial*fundamentalHz) < guardHz
}

// humSpectrum is a fine power spectrum of the lowest frequencies of the whole take.
type humSpectrum struct {
	power    []float64
	binHz    float64
	beyondHz float64 // no line is looked for from here on
}

func newHumSpectrum(channels [][]float32, rateHz int) humSpectrum {
	step := max(1, rateHz/humAnalysisHz)
	frames := len(channels[0]) / step
	size := 16
	for size < 2*frames && size < 1<<17 {
		size *= 2
	}
	frames = min(frames, size)
	parts := make([][]float64, len(channels))
	for c, channel := range channels {
		parts[c] = make([]float64, frames)
		for i := range parts[c] {
			for _, x := range channel[i*step:][:step] {
				parts[c][i] += float64(x)
			}
		}
	}
	analysisHz := float64(rateHz) / float64(step)
	return humSpectrum{sound.PaddedPower(parts, size), analysisHz / float64(size), min(highestHumHz, 0.4*analysisHz)}
}

// highest gives the bin of the highest power within so many Hz of a frequency.
func (s humSpectrum) highest(hz, aroundHz float64) int {
	from := max(1, int((hz-aroundHz)/s.binHz))
	to := min(len(s.power)-2, int(math.Ceil((hz+aroundHz)/s.binHz)))
	best := from
	for k := from; k <= to; k++ {
		if s.power[k] > s.power[best] {
			best = k
		}
	}
	return best
}

// mains finds the mains frequency by the strongest harmonic that stands out and is not the take's own.
func (s humSpectrum) mains(nominalHz float64, isOwn func(hz float64) bool) float64 {
	found, most := nominalHz, 0.0
	for k := 1.0; k <= 8 && k*nominalHz < s.beyondHz; k++ {
		bin := s.highest(k*nominalHz, k*humStrayHz)
		hz := float64(bin) * s.binHz
		if s.power[bin] <= most || isOwn(hz) || s.standsOutDB(hz) < humLineDB {
			continue
		}
		most = s.power[bin]
		found = (float64(bin) + sound.PeakOffset(s.power[bin-1], s.power[bin], s.power[bin+1])) * s.binHz / k
	}
	return found
}

// standsOutDB is a line's power against the median around it, which a single other line does not raise.
func (s humSpectrum) standsOutDB(hz float64) float64 {
	line := s.power[s.highest(hz, humStrayHz)]
	if line <= 0 {
		return math.Inf(-1)
	}
	var around []float64
	for k := max(0, int((hz-humAroundHz)/s.binHz)); k <= min(len(s.power)-1, int((hz+humAroundHz)/s.binHz)); k++ {
		if math.Abs(float64(k)*s.binHz-hz) > humBesideHz {
			around = append(around, s.power[k])
		}
	}
	if len(around) == 0 {
		return math.Inf(-1)
	}
	slices.Sort(around)
	return sound.PowerDB(line / max(around[len(around)/2], 1e-300))
}

// removeLine follows a line's amplitude and phase through every channel and subtracts it. That is a notch of linear
// phase whose ringing is as weak as what the take has in the notch. False: it is weaker in the
// pauses than in the sound, so it is the sound's own.
func removeLine(channels [][]float32, rateHz int, t trim, lineHz float64) bool {
	block := max(1, rateHz/1000)
	lines := make([][]complex128, len(channels))
	inside, outside := 0.0, 0.0
	pauseFrames := len(channels[0]) - (t.end - t.onset)
	for c, channel := range channels {
		lines[c] = followLine(channel, block, lineHz/float64(rateHz))
		smoothLine(lines[c], int(humSmoothSec*float64(rateHz)/float64(block)))
		inside += meanPower(lines[c])
		outside += pausePower(channel, rateHz, t, lineHz/float64(rateHz))
	}
	if float64(pauseFrames) > shortestPauseIn*float64(rateHz) && outside < inside*sound.DBToPower(-humPauseDB) {
		return false
	}
	for c, channel := range channels {
		subtractLine(channel, lines[c], block, lineHz/float64(rateHz))
	}
	return true
}

// followLine moves the line to 0 Hz and gives the mean of each block (the last may be short): half the line's
// amplitude.
func followLine(samples []float32, block int, cycles float64) []complex128 {
	line := make([]complex128, (len(samples)+block-1)/block)
	phasor, turn := complex(1, 0), cmplx.Rect(1, -2*math.Pi*cycles)
	for b := range line {
		within := samples[b*block : min(len(samples), (b+1)*block)]
		re, im := 0.0, 0.0
		for _, x := range within {
			re += real(phasor) * float64(x)
			im += imag(phasor) * float64(x)
			phasor *= turn
		}
		line[b] = complex(re, im) / complex(float64(len(within)), 0)
	}
	return line
}

// smoothLine takes the running mean of so many values, three times, of fewer at the ends.
func smoothLine(line []complex128, length int) {
	half := max(1, length/2)
	sums := make([]complex128, len(line)+1)
	weights := make([]float64, len(line))
	weightSums := make([]float64, len(line)+1)
	for i := range weights {
		weights[i] = 1
	}
	for range 3 {
		for i := range line {
			sums[i+1] = sums[i] + line[i]
			weightSums[i+1] = weightSums[i] + weights[i]
		}
		for i := range line {
			from, to := max(0, i-half), min(len(line), i+half+1)
			line[i] = sums[to] - sums[from]
			weights[i] = weightSums[to] - weightSums[from]
		}
	}
	for i := range line {
		line[i] /= complex(weights[i], 0)
	}
}

// subtractLine subtracts the line, whose amplitude is taken to go straight from each block's middle to the next.
func subtractLine(samples []float32, line []complex128, block int, cycles float64) {
	phasor, turn := complex(2, 0), cmplx.Rect(1, 2*math.Pi*cycles)
	for b := range line {
		within := samples[b*block : min(len(samples), (b+1)*block)]
		before, after := (line[max(0, b-1)]+line[b])/2, (line[b]+line[min(len(line)-1, b+1)])/2
		step := (after - before) / complex(float64(block), 0)
		for i := range within {
			within[i] -= float32(real(before)*real(phasor) - imag(before)*imag(phasor))
			before += step
			phasor *= turn
		}
	}
}

func meanPower(line []complex128) float64 {
	sum := 0.0
	for _, z := range line {
		sum += sound.PowerOf(z)
	}
	return sum / float64(len(line))
}

// pausePower is the line's power in the pauses before and after the sound. Hum is there all the time, words and
// footsteps come and go: what counts is the lower quartile over stretches of humStretchSec, or the only one there is.
func pausePower(samples []float32, rateHz int, t trim, cycles float64) float64 {
	stretch := int(humStretchSec * float64(rateHz))
	var powers []float64
	longer := samples[:t.onset]
	if len(samples)-t.end > len(longer) {
		longer = samples[t.end:]
	}
	for _, pause := range [][]float32{samples[:t.onset], samples[t.end:]} {
		for at := 0; at+stretch <= len(pause); at += stretch / 2 {
			powers = append(powers, linePower(pause[at:at+stretch], cycles))
		}
	}
	if len(powers) == 0 {
		return linePower(longer, cycles)
	}
	slices.Sort(powers)
	return powers[len(powers)/4]
}

// linePower is the power of a line over a stretch, in the measure of followLine.
func linePower(samples []float32, cycles float64) float64 {
	if len(samples) == 0 {
		return 0
	}
	sum, phasor, turn := complex(0, 0), complex(1, 0), cmplx.Rect(1, -2*math.Pi*cycles)
	for i, x := range samples {
		sum += phasor * complex(sound.Hann(i, len(samples))*float64(x), 0)
		phasor *= turn
	}
	mean := sum / complex(float64(len(samples))/2, 0) // the mean of the window is 1/2
	return sound.PowerOf(mean)
}
