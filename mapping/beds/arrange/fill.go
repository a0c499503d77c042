// Filling: where strokes lead and leave gaps, the takes that go on come up beneath them.

package arrange

import (
	"math"

	"lapstrake/mapping/sound"
)

const (
	fillTo     = 1.0  // of a bed's mean power: where there is less, it is filled up to that
	fillMostDB = 28.0 // and by no more than this
	fillSec    = 0.3  // the level is looked at over about so long, either way
)

// fill raises the stems of parts that go on where those that strike leave the bed far below its mean. bands are the
// stems' own, and follow.
func (a *arranger) fill(bands []Bands) {
	blocks := len(bands[0].Blocks)
	struck, held := make([]float64, blocks), make([]float64, blocks)
	mean := 0.0
	for i := range bands {
		own := held
		if a.materials[i].strikes {
			own = struck
		}
		for k := range bands[i].Blocks {
			power := bands[i].blockPower(k)
			own[k] += power
			mean += power / float64(blocks)
		}
	}
	struck, held = smoothed(struck), smoothed(held)
	gainsDB, fills := make([]float64, blocks), false
	for k := range gainsDB {
		if lack := fillTo*mean - struck[k]; held[k] > 0 && lack > held[k] {
			gainsDB[k], fills = min(sound.PowerDB(lack/held[k]), fillMostDB), true
		}
	}
	if !fills {
		return
	}
	gainsDB = smoothed(gainsDB)
	for i := range bands {
		if a.materials[i].strikes {
			continue
		}
		for k := range bands[i].Blocks {
			for band := range bands[i].Blocks[k] {
				bands[i].Blocks[k][band] *= sound.DBToPower(gainsDB[k])
			}
		}
		a.stems[i].follow(gainsDB, float64(a.bands.hopFrames))
	}
}

// smoothed is a curve of blocks under a raised cosine of fillSec either way.
func smoothed(values []float64) []float64 {
	const reach = int(fillSec / blockSec)
	out := make([]float64, len(values))
	for k := range out {
		sum, weights := 0.0, 0.0
		for j := max(k-reach, 0); j <= min(k+reach, len(values)-1); j++ {
			w := 1 + math.Cos(math.Pi*float64(j-k)/float64(reach+1))
			sum, weights = sum+w*values[j], weights+w
		}
		out[k] = sum / weights
	}
	return out
}

// follow changes the level of a stem by a curve in dB, whose values stand for the middles of blocks.
func (s *stem) follow(gainsDB []float64, blockFrames float64) {
	gain := func(frame int) float32 {
		return float32(sound.DBToAmplitude(valueAt(gainsDB, float64(frame)/blockFrames-0.5)))
	}
	for from := 0; from < len(s.left); from += controlFrames {
		to := min(from+controlFrames, len(s.left))
		g := gain(from)
		slope := (gain(to) - g) / float32(to-from)
		for i := from; i < to; i++ {
			s.left[i] *= g
			s.right[i] *= g
			g += slope
		}
	}
}
