// How the levels of auditory bands go over time.

package sound

import "math"

// The courses of levels: so many a second, each of about so many seconds of sound, in bands 1 ERB wide that reach from
// BandFirstHz to BandLastHz.
const (
	BandLevelsPerSec = 50
	bandLevelSec     = 0.04
	bandFirstHz      = 100
	bandLastHz       = 12000
	bandSilenceDB    = -120
)

// BandLevels gives the level in dBFS of each auditory band of a sound over time, BandLevelsPerSec values a second.
// read fills in samples of one channel from a frame on. Sounds of less than one level give none.
func BandLevels(frames int64, rateHz int, read func(samples []float32, from int64) error) ([][]float64, error) {
	size := PowerOfTwo(bandLevelSec, rateHz)
	p := BorrowSpectrum(size)
	defer p.GiveBack()
	first := int(ERBNumber(bandFirstHz))
	bands := make([][]float64, int(ERBNumber(min(bandLastHz, 0.45*float64(rateHz))))-first)
	bandOf := make([]int, size/2+1)
	for bin := range bandOf {
		bandOf[bin] = int(ERBNumber(float64(bin)*float64(rateHz)/float64(size))) - first
	}
	powers, samples := make([]float64, len(bands)), make([]float32, size)
	for k := 0; ; k++ {
		from := int64(math.Round(float64(k) * float64(rateHz) / BandLevelsPerSec))
		if from+int64(size) > frames {
			return bands, nil
		}
		if err := read(samples, from); err != nil {
			return nil, err
		}
		clear(powers)
		for bin, power := range p.At(samples, size/2) {
			if band := bandOf[bin]; band >= 0 && band < len(bands) {
				powers[band] += power
			}
		}
		for band, power := range powers {
			bands[band] = append(bands[band], PowerDB(power+DBToPower(bandSilenceDB)))
		}
	}
}

// Swings are how levels of BandLevels go up and down about their mean over the second around, or, of less than a
// second, about a straight line. A dip below least counts as one to least.
func Swings(levels []float64, least float64) []float64 {
	const reach = BandLevelsPerSec / 2
	n := len(levels)
	out, sums := make([]float64, n), make([]float64, n+1)
	moment, squares, middle := 0.0, 0.0, float64(n-1)/2
	for k, level := range levels {
		out[k] = max(level, least)
		sums[k+1] = sums[k] + out[k]
		moment += (float64(k) - middle) * out[k]
		squares += (float64(k) - middle) * (float64(k) - middle)
	}
	for k := range out {
		if n < 2*reach {
			out[k] -= sums[n]/float64(n) + (float64(k)-middle)*moment/max(squares, 1)
			continue
		}
		low, high := max(k-reach, 0), min(k+reach+1, n)
		out[k] -= (sums[high] - sums[low]) / float64(high-low)
	}
	return out
}
