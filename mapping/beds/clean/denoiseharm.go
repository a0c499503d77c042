// What noise reduction does to the sound itself: what it takes off the upper register beyond the noise, and whether it
// rings.

package clean

import (
	"math"

	"lapstrake/mapping/sound"
)

const (
	upperHz     = 2000
	mostLossDB  = 3   // taken off the upper register beyond what the noise explains
	mostRinging = 1.2 // logarithm of the kurtosis of what was reduced, over that of what it was before
	soundsDB    = 40  // a frame counts that is no further than this below the loudest
	reducedDB   = 4   // a bin counts as reduced that lost so much
	besideBins  = 8   // on either side of a bin
	surplus     = 1.4 // times the noise learnt in pauses, of which the quieter half is looked at
	leastCells  = 200 // bins times frames that a kurtosis is told from
	halvings    = 3   // of the reduction, before it is left alone
)

// runGently runs the gate at no more than reduceDB, by half as much as long as that does harm, and not at all if it
// still does. It returns by how many dB it ran. explained says that the noise is surely not the
// sound's own.
func (g *gate) runGently(channels [][]float32, rateHz int, t trim, noise []float64, explained bool,
	reduceDB float64) float64 {
	release := 1 - math.Exp(-float64(g.hopFrames)/(releaseSec*float64(rateHz)))
	upper := int(upperHz * float64(g.sizeFrames) / float64(rateHz))
	before := make([][]float32, len(channels))
	for c, channel := range channels {
		before[c] = append([]float32(nil), channel[t.from:t.to]...)
	}
	explains := noise
	if !explained {
		explains = make([]float64, g.bins)
	}
	sounding := trim{onset: max(t.onset-t.from, 0), end: min(t.end, t.to) - t.from}
	was := g.loudFrames(before, sounding)
	for range halvings {
		floor := sound.DBToAmplitude(-reduceDB)
		g.run(channels, t, noise, floor, release)
		after := make([][]float32, len(channels))
		for c, channel := range channels {
			after[c] = channel[t.from:t.to]
		}
		lossDB, ringing := g.harm(was, after, sounding, upper, explains, floor*floor)
		if lossDB <= mostLossDB && ringing <= mostRinging {
			return reduceDB
		}
		for c := range channels {
			copy(after[c], before[c])
		}
		reduceDB /= 2
	}
	return 0
}

// harm compares what sounds with what it was, of which the frames that count are given. lossDB is what the bins from
// upper on lost beyond noise going down to floor, a power. ringing is the ratio of logarithms of kurtosis over
// all reduced bins and frames, which single tones that stay behind in the noise raise (Uemura et al. 2008); 0 where
// hardly anything was reduced.
func (g *gate) harm(was [][]float64, after [][]float32, t trim, upper int, noise []float64, floor float64) (lossDB,
	ringing float64) {
	if len(was) == 0 {
		return 0, 0
	}
	is := g.sounding(after, t, func(f int) bool { return was[f] != nil })
	wasMean, isMean, frames := make([]float64, g.bins), make([]float64, g.bins), 0.0
	for f, powers := range was {
		if powers == nil {
			continue
		}
		frames++
		for k, power := range powers {
			wasMean[k] += power
			isMean[k] += is[f][k]
		}
	}
	all, left, noisy := 0.0, 0.0, 0.0
	for k := min(upper, g.bins); k < g.bins; k++ {
		all, left = all+wasMean[k]/frames, left+isMean[k]/frames
		noisy += noise[k]
	}
	noisy = min(surplus*noisy, all)
	if left > 0 {
		lossDB = sound.PowerDB((all - noisy + floor*noisy) / left)
	}
	var reduced []int
	for k := range wasMean {
		if isMean[k] < wasMean[k]*sound.DBToPower(-reducedDB) {
			reduced = append(reduced, k)
		}
	}
	if float64(len(reduced))*frames < leastCells {
		return lossDB, 0
	}
	return lossDB, math.Log(kurtosis(is, isMean, reduced)) / math.Log(kurtosis(was, wasMean, reduced))
}

// loudFrames are the powers of the bins of all frames between onset and end, nil where they do not count: where the
// frame lies far below the loudest.
func (g *gate) loudFrames(channels [][]float32, t trim) [][]float64 {
	frames := g.sounding(channels, t, func(int) bool { return true })
	loudest := 0.0
	for _, powers := range frames {
		loudest = max(loudest, total(powers))
	}
	for f, powers := range frames {
		if total(powers) < loudest*sound.DBToPower(-soundsDB) {
			frames[f] = nil
		}
	}
	return frames
}

// sounding are the powers of the bins of those frames between onset and end that are wanted; nil for the others.
func (g *gate) sounding(channels [][]float32, t trim, wanted func(frame int) bool) (all [][]float64) {
	spectrum := make([]complex128, g.bins)
	for from := t.onset; from+g.sizeFrames <= t.end; from += g.hopFrames {
		var powers []float64
		if wanted(len(all)) {
			powers = make([]float64, g.bins)
			for _, channel := range channels {
				g.analyse(spectrum, channel, from)
				addPower(powers, spectrum)
			}
		}
		all = append(all, powers)
	}
	return all
}

func total(powers []float64) (sum float64) {
	for _, power := range powers {
		sum += power
	}
	return sum
}

// kurtosis is that of the powers of some bins in all frames, each against the bin's sum and then against the bins
// beside it in the same frame, so that single tones count and attacks do not. Frames that are nil are left out.
func kurtosis(frames [][]float64, sums []float64, bins []int) float64 {
	cells, levels := make([]float64, 0, len(frames)*len(bins)), make([]float64, len(bins))
	for _, powers := range frames {
		if powers == nil {
			continue
		}
		for i, k := range bins {
			levels[i] = powers[k] / max(sums[k], 1e-300)
		}
		for i, level := range levels {
			around := levels[max(i-besideBins, 0):min(i+besideBins+1, len(levels))]
			cells = append(cells, level*float64(len(around))/max(total(around), 1e-300))
		}
	}
	mean, second, fourth := total(cells)/float64(len(cells)), 0.0, 0.0
	for _, cell := range cells {
		d := (cell - mean) * (cell - mean)
		second, fourth = second+d, fourth+d*d
	}
	return fourth * float64(len(cells)) / max(second*second, 1e-300)
}
