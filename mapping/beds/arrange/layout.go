// The arranger: what one bed needs while it is laid out, in memory that the next bed uses again.

package arrange

import (
	"math"
	"slices"
	"sync"

	"lapstrake/mapping/hearing"
	"lapstrake/mapping/project"
	"lapstrake/mapping/sound"
)

// arranger lays out one bed.
type arranger struct {
	settings  project.ArrangeSettings
	frames    int
	rateHz    int
	seed      uint64
	company   hearing.Company
	materials []material
	stems     []stem
	shares    []float64 // mean power that a stem shall have, against a part that leads all the time
	raisedDB  []float64 // what the audition gave each part, in its share
	bells     [][]Bell  // and what it is brought out by
	spans     []Span
	gains     []float32 // scratch: a voice's gain at every controlFrames
	voice     stem      // scratch: a take as long as the bed
	splicer   splicer
	paths     [][]piece // of the copies of the part being prolonged
	bands     *bander
	measurer  *hearing.Measurer
	weights   [hearing.Bands]float64 // of the K filter
}

var arrangers = sync.Pool{New: func() any { return new(arranger) }}

func newArranger(s project.ArrangeSettings, parts, frames, rateHz int, seed uint64) *arranger {
	a := arrangers.Get().(*arranger)
	a.settings, a.frames, a.rateHz, a.seed = s, frames, rateHz, seed
	a.materials, a.spans = make([]material, parts), nil
	a.shares, a.raisedDB, a.bells = make([]float64, parts), make([]float64, parts), make([][]Bell, parts)
	for len(a.stems) < parts {
		a.stems = append(a.stems, stem{})
	}
	for i := range a.stems[:parts] {
		a.stems[i].resize(frames)
		a.stems[i].clear()
	}
	a.voice.resize(frames)
	a.gains = slices.Grow(a.gains[:0], points(frames))[:points(frames)]
	if a.bands == nil || a.bands.rateHz != rateHz {
		a.bands, a.measurer = newBander(rateHz), hearing.NewMeasurer(rateHz)
		for band := range a.weights {
			a.weights[band] = sound.KWeight(hearing.BandHz(float64(band)), rateHz)
		}
	}
	return a
}

// free hands the memory to the next bed.
func (a *arranger) free() {
	a.materials, a.spans = nil, nil
	arrangers.Put(a)
}

// layOut fills the stems; false when no part sounds.
func (a *arranger) layOut() bool {
	var sounding []int
	for i := range a.materials {
		if a.materials[i].sounds {
			sounding = append(sounding, i)
		}
	}
	if len(sounding) == 0 {
		return false
	}
	copies := a.copies(len(sounding))
	for _, i := range sounding {
		a.chooseWay(i, copies)
	}
	a.takeTurns(sounding, a.places(sounding), copies)
	return true
}

// places spreads parts evenly over the width, in shuffled order; indexed by part. With copies, a part's place is that
// of its outermost one.
func (a *arranger) places(parts []int) []float64 {
	places := make([]float64, len(a.materials))
	c := newChance(a.seed, forPlace, 0, 0)
	step := 2 / float64(len(parts))
	for rank, k := range c.order(len(parts)) {
		places[parts[k]] = a.settings.Width * (step*(float64(rank)+c.between(0.35, 0.65)) - 1)
	}
	if len(parts) == 1 {
		places[parts[0]] = 0
	}
	return places
}

// level returns the gain that brings a stem to its share of the bed by its K-weighted level, and its powers by bands
// under that gain.
func (a *arranger) level(part int) (gain float64, bands Bands) {
	bands = a.bands.measure(&a.stems[part], a.frames)
	power := bands.heardPower()
	if power <= 0 {
		return 0, bands
	}
	ratio := a.shares[part] * sound.DBToPower(a.materials[part].gainDB) / power
	bands.scale(ratio)
	return math.Sqrt(ratio), bands
}
