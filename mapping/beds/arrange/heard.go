// Who is audible in a bed, where, for how long, and who is buried.

package arrange

import "lapstrake/mapping/sound"

const (
	maskedDB   = 6.0  // a take is audible while in one band at least its level is above that of the others less this
	floorDB    = 50.0 // nothing so far below the whole bed's mean level is counted as sound
	buriedPart = 0.1  // of a bed's length: a take that is audible for less is buried in it
)

// Heard says how a part fares in a bed.
type Heard struct {
	// its level in at least one ERB band is above the sum of the others less 6 dB
	AudibleSec  float64 `json:"audible_sec"`
	SoundingSec float64 `json:"sounding_sec"` // it sounds at all
	BestBandHz  float64 `json:"best_band_hz"` // middle of the band in which it is audible the longest; 0: none
	RaisedDB    float64 `json:"raised_db"`    // what the audition gave it; below 0: lowered
	BedSec      float64 `json:"bed_sec"`
	Beating
}

// Buried tells whether a part is as good as inaudible in its bed.
func (h Heard) Buried() bool { return h.AudibleSec < buriedPart*h.BedSec }

// Audible compares parts that sound together, each measured alone; all are alike long. The levels of bands are
// compared block by block; sound of a band more than 50 dB below the mean of all parts together does not count.
func Audible(parts []Bands) []Heard {
	heard := make([]Heard, len(parts))
	if len(parts) == 0 {
		return heard
	}
	blocks := len(parts[0].Blocks)
	floor := powerOfAll(parts) * sound.DBToPower(-floorDB)
	best := make([][erbBands]int, len(parts))
	audibleBlocks, soundingBlocks := make([]int, len(parts)), make([]int, len(parts))
	for k := range blocks {
		var sum [erbBands]float64
		for i := range parts {
			for band, p := range parts[i].Blocks[k] {
				sum[band] += p
			}
		}
		for i := range parts {
			whole, here := 0.0, false
			for band, p := range parts[i].Blocks[k] {
				whole += p
				if p > floor && p > (sum[band]-p)*sound.DBToPower(-maskedDB) {
					here = true
					best[i][band]++
				}
			}
			if here {
				audibleBlocks[i]++
			}
			if whole > floor {
				soundingBlocks[i]++
			}
		}
	}
	for i := range heard {
		sec := parts[i].BlockSec
		heard[i] = Heard{
			AudibleSec:  float64(audibleBlocks[i]) * sec,
			SoundingSec: float64(soundingBlocks[i]) * sec,
			BedSec:      float64(blocks) * sec,
		}
		most := 0
		for band, n := range best[i] {
			if n > most {
				most, heard[i].BestBandHz = n, BandHz(band)
			}
		}
	}
	return heard
}

// powerOfAll is that of all parts and bands together, over the blocks.
func powerOfAll(parts []Bands) float64 {
	sum := 0.0
	for i := range parts {
		for k := range parts[i].Blocks {
			for _, p := range parts[i].Blocks[k] {
				sum += p
			}
		}
	}
	return sum / float64(max(len(parts[0].Blocks), 1))
}
