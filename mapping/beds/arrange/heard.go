// Who is audible in a bed, where, for how long, and who is buried.

package arrange

import "lapstrake/mapping/sound"

const (
	maskedDB    = 6.0  // a take is audible while in one band at least its level is above that of the others less this
	floorDB     = 50.0 // nothing so far below the whole bed's mean level is counted as sound
	buriedPart  = 0.1  // of a bed's length: a take that is audible for less is buried in it
	wantedPart  = 0.2  // of a bed's length: what Rebalance tries to give to each
	raiseDB     = 1.5  // in steps of
	companyBeds = 3    // sound beside a bed in a note
	wantedBands = 2    // in which a take is to stand out there
)

// Heard says how a part fares in a bed.
type Heard struct {
	// its level in at least one ERB band is above the sum of the others less 6 dB
	AudibleSec  float64 `json:"audible_sec"`
	SoundingSec float64 `json:"sounding_sec"` // it sounds at all
	BestBandHz  float64 `json:"best_band_hz"` // middle of the band in which it is audible the longest; 0: none
	RaisedDB    float64 `json:"raised_db"`    // what the audition and Rebalance gave it; below 0: lowered
	BedSec      float64 `json:"bed_sec"`
	Beating
}

// Buried tells whether a part is as good as inaudible in its bed.
func (h Heard) Buried() bool { return h.AudibleSec < buriedPart*h.BedSec }

// Audible compares parts that sound together, each measured alone; all are alike long. The levels of bands are
// compared block by block; sound of a band more than 50 dB below the mean of all parts together does not count.
func Audible(parts []Bands) []Heard {
	gains := make([]float64, len(parts))
	for i := range gains {
		gains[i] = 1
	}
	return audible(parts, gains, nil, 1)
}

// audible is Audible for parts under gains of power, in company that has a power in each band, for as long as they
// stand out in so many bands.
func audible(parts []Bands, gains []float64, company *[erbBands]float64, leastBands int) []Heard {
	heard := make([]Heard, len(parts))
	if len(parts) == 0 {
		return heard
	}
	blocks := len(parts[0].Blocks)
	floor := powerOfAll(parts, gains) * sound.DBToPower(-floorDB)
	best := make([][erbBands]int, len(parts))
	audibleBlocks, soundingBlocks := make([]int, len(parts)), make([]int, len(parts))
	for k := range blocks {
		var sum [erbBands]float64
		for i := range parts {
			for band, p := range parts[i].Blocks[k] {
				sum[band] += gains[i] * p
			}
		}
		for i := range parts {
			whole, here := 0.0, 0
			for band, p := range parts[i].Blocks[k] {
				p *= gains[i]
				whole += p
				rest := sum[band] - p
				if company != nil {
					rest += company[band]
				}
				if p > floor && p > rest*sound.DBToPower(-maskedDB) {
					here++
					best[i][band]++
				}
			}
			if here >= leastBands {
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
func powerOfAll(parts []Bands, gains []float64) float64 {
	sum := 0.0
	for i := range parts {
		for k := range parts[i].Blocks {
			for _, p := range parts[i].Blocks[k] {
				sum += gains[i] * p
			}
		}
	}
	return sum / float64(max(len(parts[0].Blocks), 1))
}

// Rebalance returns the gains in dB, 0 to mostDB, that keep parts from being buried when the bed sounds in a note,
// beside three others much like it (of the other layer and the other rank): those that stand out there for too little
// of the bed are raised a little and all are compared again, until none is or none may be raised further.
func Rebalance(parts []Bands, mostDB float64) []float64 {
	gainsDB := make([]float64, len(parts))
	gains := make([]float64, len(parts))
	for i := range gains {
		gains[i] = 1
	}
	company := meanBands(parts)
	for band := range company {
		company[band] *= companyBeds
	}
	for {
		raised := false
		for i, h := range audible(parts, gains, company, wantedBands) {
			if h.SoundingSec == 0 || h.AudibleSec >= wantedPart*h.BedSec || gainsDB[i] >= mostDB {
				continue
			}
			gainsDB[i] = min(gainsDB[i]+raiseDB, mostDB)
			gains[i] = sound.DBToPower(gainsDB[i])
			raised = true
		}
		if !raised {
			return gainsDB
		}
	}
}

// meanBands are the powers in the bands of all parts together, over the blocks.
func meanBands(parts []Bands) *[erbBands]float64 {
	var mean [erbBands]float64
	for i := range parts {
		for k := range parts[i].Blocks {
			for band, p := range parts[i].Blocks[k] {
				mean[band] += p / float64(len(parts[i].Blocks))
			}
		}
	}
	return &mean
}
