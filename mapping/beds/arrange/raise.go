// Raising the buried: what the audition foresaw is measured once more on the parts as they are laid, beside company
// much like the bed itself, and those that still stand out for too little are raised.

package arrange

import "lapstrake/mapping/sound"

const (
	maskedDB    = 6.0  // a take is audible while in one band at least its level is above that of the others less this
	floorDB     = 50.0 // nothing so far below the whole bed's mean level is counted as sound
	wantedPart  = 0.2  // of a bed's length: what raiseBuried tries to give to each
	raiseDB     = 1.5  // in steps of
	companyBeds = 3    // sound beside a bed in a note
	wantedBands = 2    // in which a take is to stand out there
	sparsePart  = 0.5  // of raise_db: sparse strokes that are raised by more leave holes between them
)

// standing is for how long a part stands out, and sounds at all.
type standing struct{ audibleSec, soundingSec float64 }

// audible compares parts under gains of power, in company that has a power in each band: each is audible while it
// stands out in so many bands. Sound of a band more than 50 dB below the mean of all parts together does not count.
func audible(parts []Bands, gains []float64, company *[erbBands]float64, leastBands int) []standing {
	heard := make([]standing, len(parts))
	if len(parts) == 0 {
		return heard
	}
	blocks := len(parts[0].Blocks)
	floor := powerOfAll(parts, gains) * sound.DBToPower(-floorDB)
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
				rest := sum[band] - p + company[band]
				if p > floor && p > rest*sound.DBToPower(-maskedDB) {
					here++
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
		heard[i] = standing{float64(audibleBlocks[i]) * sec, float64(soundingBlocks[i]) * sec}
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

// raiseBuried returns the gains in dB, from 0 to mostDB of each, that keep parts from being buried when the bed sounds
// in a note, beside three others much like it (of the other layer and the other rank): those that stand out there for
// too little of the bed are raised a little and all are compared again, until none is or none may be raised further.
func raiseBuried(parts []Bands, mostDB []float64) []float64 {
	gainsDB := make([]float64, len(parts))
	gains := make([]float64, len(parts))
	for i := range gains {
		gains[i] = 1
	}
	company := meanBands(parts)
	for band := range company {
		company[band] *= companyBeds
	}
	bedSec := float64(len(parts[0].Blocks)) * parts[0].BlockSec
	for {
		raised := false
		for i, h := range audible(parts, gains, company, wantedBands) {
			if h.soundingSec == 0 || h.audibleSec >= wantedPart*bedSec || gainsDB[i] >= mostDB[i] {
				continue
			}
			gainsDB[i] = min(gainsDB[i]+raiseDB, mostDB[i])
			gains[i] = sound.DBToPower(gainsDB[i])
			raised = true
		}
		if !raised {
			return gainsDB
		}
	}
}

// mostRaisedDB is how far each part may be raised.
func (a *arranger) mostRaisedDB() []float64 {
	most := make([]float64, len(a.materials))
	for i := range most {
		most[i] = a.settings.RaiseDB
		if a.sparse(i) {
			most[i] *= sparsePart
		}
	}
	return most
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
