// Harmonic sources: one period in a table, band-limited, read at a pitch that may drift.

package boatyard

import (
	"math"

	"gonum.org/v1/gonum/dsp/fourier"
)

// tableFrames is the length of one period. Read by straight lines, the images of harmonic h lie (h/4096)² below
// it: −52 dB for the 200th, which is itself weak.
const tableFrames = 4096

// topShare is the highest partial allowed, as a share of the rate: room below half the rate for the recorder's
// filters and for resampling.
const topShare = 0.45

// wave is one period and its first sample again.
type wave []float32

// harmonics returns the amplitudes of harmonics 1, 2, … of hz, as gain gives them, up to 0.45 of the rate.
func (p *player) harmonics(hz float64, gain func(h, hz float64) float64) []float64 {
	const sharpest = 1.004 // drift and vibrato stay within 6 cents
	count := min(int(topShare*p.rateHz/(hz*sharpest)), tableFrames/6)
	amps := make([]float64, max(count, 0))
	for i := range amps {
		h := float64(i + 1)
		amps[i] = gain(h, h*hz)
	}
	return amps
}

// phases returns a phase for each harmonic: random ones, the same for every wave of one source, so that two
// waves of it can be mixed without cancelling.
func (p *player) phases() []float64 {
	phases := make([]float64, tableFrames/6)
	for i := range phases {
		phases[i] = 2 * math.Pi * p.noise.unit()
	}
	return phases
}

// wave makes the period of a source; amps[0] is the fundamental's amplitude. Without phases the harmonics are
// all cosines: a pulse.
func (p *player) wave(amps, phases []float64) wave {
	if p.fft == nil {
		p.fft = fourier.NewFFT(tableFrames)
	}
	spectrum := make([]complex128, tableFrames/2+1)
	for i, a := range amps {
		phase := 0.0
		if phases != nil {
			phase = phases[i]
		}
		sin, cos := math.Sincos(phase)
		spectrum[i+1] = complex(a/2*cos, a/2*sin)
	}
	period := p.fft.Sequence(nil, spectrum)
	w := make(wave, tableFrames+1)
	for i, v := range period {
		w[i] = float32(v)
	}
	w[tableFrames] = w[0]
	return w
}

// sing adds the wave to out at hz·2^(cents/1200), amplitude amp, from the given phase in turns.
func (p *player) sing(out []float64, w wave, hz float64, cents, amp curve, phaseTurns float64) {
	const turn = 1 << 52 // the phase counts in 2⁻⁵² turns: 12 bits of table above 40 of fraction
	phase := int64(phaseTurns * turn)
	step := func(k int) int64 { return int64(hz / p.rateHz * math.Exp2(cents[k]/1200) * turn) }
	from := step(0)
	for start, k := 0, 0; start < len(out); start, k = start+hop, k+1 {
		to := step(k + 1)
		now, more := from, (to-from)/hop
		gain, gainStep := amp[k], (amp[k+1]-amp[k])/hop
		for i := range out[start:min(start+hop, len(out))] {
			index := int(phase>>40) & (tableFrames - 1)
			share := float64(phase&(1<<40-1)) * (1.0 / (1 << 40))
			here := float64(w[index])
			out[start+i] += gain * (here + share*(float64(w[index+1])-here))
			phase += now
			now += more
			gain += gainStep
		}
		phase &= turn - 1
		from = to
	}
}

// rolloff is the usual body of a source: level up to kneeHz, falling by slopeDB an octave beyond. Being fixed
// in Hz, it gives low roots prominent upper partials and high roots few.
func rolloff(hz, kneeHz, slopeDB float64) float64 {
	return math.Pow(1+(hz/kneeHz)*(hz/kneeHz), -slopeDB/12.041199826559248)
}

// smallness is what a body that is small beside the wave cannot send out: 12 dB an octave below cutHz.
func smallness(hz, cutHz float64) float64 { return 1 / (1 + (cutHz/hz)*(cutHz/hz)) }

// peak is the gain of one resonance of a body: 1 at its centre, 1/q far below, falling 12 dB an octave above.
func peak(hz, centreHz, q float64) float64 {
	x := hz / centreHz
	return 1 / (q * math.Hypot(1-x*x, x/q))
}
