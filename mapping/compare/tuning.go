// By how much one sound is tuned above another: their spectra, over log frequency, slid against each other.

package compare

import (
	"math"

	"lapstrake/mapping/sound"
)

const (
	tuneLowHz     = 150
	tuneSpanCents = 5400 // up to 3.4 kHz
	mostCents     = 1300
	tuneSec       = 2.5 // of one spectrum
	leastLikeness = 0.3 // of the spectra where they go with each other best
)

// tuning tells by how many cents B is above A. It is not known where the spectra do not go with each other anywhere.
func tuning(a, b Sound) (cents float64, known bool) {
	x, y := tones(a), tones(b)
	likeness := make([]float64, 2*mostCents+1)
	best := 0
	for k := range likeness {
		likeness[k] = likenessAt(x, y, k-mostCents)
		if likeness[k] > likeness[best] {
			best = k
		}
	}
	if here := likeness[mostCents]; here > 0.9*likeness[best] && abs(best-mostCents) > 100 {
		best = mostCents // harmonics go with each other in other intervals too
	}
	for best > 0 && likeness[best-1] > likeness[best] {
		best--
	}
	for best < len(likeness)-1 && likeness[best+1] > likeness[best] {
		best++
	}
	cents = float64(best - mostCents)
	if best > 0 && best < len(likeness)-1 {
		cents += sound.PeakOffset(math.Exp(likeness[best-1]), math.Exp(likeness[best]), math.Exp(likeness[best+1]))
	}
	return cents, likeness[best] > leastLikeness
}

func abs(k int) int { return max(k, -k) }

// tones is how far the spectrum stands above what lies around, cent by cent.
func tones(s Sound) []float64 {
	size := sound.PowerOfTwo(tuneSec, s.RateHz)
	p := sound.BorrowSpectrum(size)
	defer p.GiveBack()
	powers := make([]float64, size/2+1)
	for _, channel := range s.Channels {
		for centre := size / 2; centre < len(channel)+size/4; centre += size / 2 {
			for bin, power := range p.At(channel, centre) {
				powers[bin] += power
			}
		}
	}
	levels := make([]float64, tuneSpanCents)
	for cent := range levels {
		at := tuneLowHz * math.Exp2(float64(cent)/1200) * float64(size) / float64(s.RateHz)
		bin := int(at)
		if bin+1 >= len(powers) {
			break
		}
		low, high := dB(powers[bin]), dB(powers[bin+1])
		levels[cent] = low + (high-low)*(at-float64(bin))
	}
	return aboveSurroundings(levels)
}

func aboveSurroundings(levels []float64) []float64 {
	const reach = 150 // cents
	sums := make([]float64, len(levels)+1)
	for k, level := range levels {
		sums[k+1] = sums[k] + level
	}
	out := make([]float64, len(levels))
	for k, level := range levels {
		low, high := max(k-reach, 0), min(k+reach+1, len(levels))
		out[k] = max(level-(sums[high]-sums[low])/float64(high-low), 0)
	}
	return out
}

// likenessAt is the correlation of x with y where y stands so many cents higher.
func likenessAt(x, y []float64, cents int) float64 {
	xx, yy, xy := 0.0, 0.0, 0.0
	for k := max(0, -cents); k < len(x) && k+cents < len(y); k++ {
		p, q := x[k], y[k+cents]
		xx, yy, xy = xx+p*p, yy+q*q, xy+p*q
	}
	return xy / math.Sqrt(xx*yy+leastPower)
}

// rates are those at which sounds are stored.
var rates = []float64{16000, 22050, 24000, 32000, 44100, 48000, 88200, 96000, 192000}

// rateRatio is the ratio of two usual rates that a tuning shows, 1 where it shows none.
func rateRatio(cents float64) float64 {
	const within = 3
	for _, read := range rates {
		for _, stored := range rates {
			if read != stored && math.Abs(cents-1200*math.Log2(read/stored)) < within {
				return read / stored
			}
		}
	}
	return 1
}

// wholeRatio is the ratio at which a whole file may run: that of two usual rates, or one so far from 1 that its levels
// show it.
func wholeRatio(cents float64) float64 {
	const showing = 20 // cents: a second in a minute and a half
	if ratio := rateRatio(cents); ratio != 1 || math.Abs(cents) < showing {
		return ratio
	}
	return math.Exp2(cents / 1200)
}

// stretched says whether the levels of B go with those of A better when B is stretched by a ratio.
func stretched(a, b Sound, ratio float64) bool {
	hop := a.RateHz / levelsPerSec
	x, y := course(mono(a), hop), course(mono(b), hop)
	longer := make([]float64, int(float64(len(y))*ratio))
	for k := range longer {
		longer[k] = y[min(int(float64(k)/ratio), len(y)-1)]
	}
	_, as := bestLag(x, y, mostDelaySec*levelsPerSec)
	_, then := bestLag(x, longer, mostDelaySec*levelsPerSec)
	return then > as+0.05
}
