// Beating: levels of bands that rise and fall together at one exact rate.

package check

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"

	"lapstrake/mapping/sound"
)

const (
	bandBelowDB   = 35  // the loudest band: what is softer does not count
	dipBelowDB    = 15  // the mean: a deeper dip counts as one of so much
	beatFromHz    = 2.5 // slower, whatever is struck now and then does so too
	beatToHz      = 20
	beatLeastDB   = 1   // of a band that beats
	beatStandsOut = 3   // times what the band does at other rates
	besideHz      = 2   // on either side
	beatBands     = 3   // that beat together at least
	beatSpanERB   = 4   // that they lie apart at least
	leastBeatSec  = 1.5 // of sound
	beatSpreadDB  = 1   // of what the build notes: between placements of one take alike far moved (standard deviation)
)

// beat is a rate at which several bands rise and fall.
type beat struct {
	Hz       float64
	DepthDB  float64 // by which their levels rise and fall about their mean, either way: the mean of these bands
	SpreadDB float64 // of that mean
	Bands    int
}

// beats lists the rates at which bands beat together, the deepest first.
func beats(bands [][]float64) []beat {
	if len(bands) == 0 || len(bands[0]) < leastBeatSec*sound.BandLevelsPerSec {
		return nil
	}
	lines := beatLines(bands)
	hzPerBin := float64(sound.BandLevelsPerSec) / float64(len(bands[0]))
	var found []beat
	for bin := int(beatFromHz/hzPerBin) + 1; float64(bin)*hzPerBin < beatToHz; bin++ {
		var depths []float64
		lowest, highest := -1, -1
		for band, line := range lines {
			if line != nil && line[bin] > 0 {
				if lowest < 0 {
					lowest = band
				}
				depths, highest = append(depths, line[bin]), band
			}
		}
		if len(depths) >= beatBands && highest-lowest >= beatSpanERB {
			n := float64(len(depths))
			found = append(found, beat{float64(bin) * hzPerBin, mean(depths), spread(depths) / math.Sqrt(n),
				len(depths)})
		}
	}
	slices.SortFunc(found, func(a, b beat) int { return cmp.Compare(b.DepthDB, a.DepthDB) })
	return found
}

// beatLines gives for each band that counts, and each bin of rate, the depth in dB of a line that stands out there, 0
// where none does.
func beatLines(bands [][]float64) [][]float64 {
	n := len(bands[0])
	means, loudest := make([]float64, len(bands)), math.Inf(-1)
	for i, levels := range bands {
		means[i] = median(levels)
		loudest = max(loudest, means[i])
	}
	fft := fourier.NewFFT(n)
	lines, windowed := make([][]float64, len(bands)), make([]float64, n)
	beside := int(besideHz * float64(n) / sound.BandLevelsPerSec)
	for i, levels := range bands {
		if means[i] < loudest-bandBelowDB {
			continue
		}
		swings := sound.Swings(levels, means[i]-dipBelowDB)
		for k, swing := range swings {
			windowed[k] = swing * sound.HannEven(k, n)
		}
		bins := fft.Coefficients(nil, windowed)
		powers := make([]float64, len(bins))
		for k := range bins {
			powers[k] = sound.PowerOf(bins[k])
		}
		depths := make([]float64, len(bins))
		for k := 1; k < len(bins)-1; k++ {
			// The three bins of a sine under this window hold 1.5 times the power of the middle one.
			depths[k] = 4 / float64(n) * math.Sqrt((powers[k-1]+powers[k]+powers[k+1])/1.5)
		}
		lines[i] = make([]float64, len(bins))
		for k := 1; k < len(bins)-1; k++ {
			if powers[k] < powers[k-1] || powers[k] < powers[k+1] || depths[k] < beatLeastDB {
				continue
			}
			near := depths[max(k-beside, 1):min(k+beside+1, len(bins)-1)]
			if depths[k] > beatStandsOut*median(near) {
				lines[i][k] = depths[k]
			}
		}
	}
	return widened(lines)
}

// widened lets a line count in the bins beside its own too: bands that beat together may differ by one.
func widened(lines [][]float64) [][]float64 {
	for i, line := range lines {
		wide := slices.Clone(line)
		for k, depth := range line {
			if depth > 0 {
				wide[k-1], wide[k+1] = max(wide[k-1], depth), max(wide[k+1], depth)
			}
		}
		lines[i] = wide
	}
	return lines
}
