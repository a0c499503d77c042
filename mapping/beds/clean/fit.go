// Fitting takes to a root's harmonics: the move of what has no pitch to be tuned by, and the lowering of what strays.

package clean

import (
	"math"

	"lapstrake/mapping/hearing"
	"lapstrake/mapping/project"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes/measure"
)

const (
	fitSpan     = 6    // semitones: farther moves only lead to the next octave
	wantedShare = 0.12 // of the strong tones may stay off the grid: half of what a bed may have
	waitsShare  = 0.5  // a take of which more is off the grid, when all is done, waits for the builder
	fitSec      = 6    // of the sound is looked at
	fitLowHz    = 25
	fitHighHz   = 16000
)

// Fit is how a take lies on the harmonics of a bed's root, and what was done about it. Shares are of the strong tones'
// power, 0 to 1, as hearing.OnGrid has them.
type Fit struct {
	Fitted        bool    // it has no pitch to be tuned by, and was moved to where its tones fit best
	MoveSemitones float64 // by how far it was moved, of a fitted take
	OffShare      float64 // moved or tuned, before anything was lowered
	LoweredDB     float64 // by how much the strays were lowered
	LeftShare     float64 // off the grid then
	Waits         bool    // too much of it strays still: it is there as noise is, and waits for the builder's word
}

// tonesOf measures the beginning of the sound.
func tonesOf(channels [][]float32, rateHz, onset, end int) []hearing.Moment {
	to := min(end, onset+fitSec*rateHz)
	if onset >= to {
		return nil
	}
	part := make([][]float32, len(channels))
	for i, channel := range channels {
		part[i] = channel[onset:to]
	}
	return hearing.TonesOf(part, rateHz, fitLowHz, fitHighHz)
}

// fit decides how a take is moved and lowered for a root; ratio is how far it is tuned already.
func (c *Cleaned) fit(treat Treatment, set project.ConformSettings, ratio float64) Fit {
	f := Fit{}
	if !set.Tune || len(c.tones) == 0 {
		return f
	}
	rootHz := sound.KeyHz(float64(treat.RootKey))
	if math.IsNaN(c.fundamentalHz) && c.kind != measure.Noisy {
		f.Fitted = true
		f.MoveSemitones, _ = hearing.BestMove(c.tones, rootHz, fitSpan)
		ratio = math.Exp2(f.MoveSemitones / 12)
	}
	moved := make([]hearing.Moment, len(c.tones))
	for i, m := range c.tones {
		moved[i] = m.Moved(ratio, 1)
	}
	f.OffShare = hearing.OnGrid(moved, rootHz).OffShare
	most := set.OffGridDB
	switch {
	case treat.KeepPartials < 0: // the builder wants them all
		most = 0
	case c.kind == measure.Noisy:
		most *= set.NoiseColour
	}
	var after hearing.Grid
	f.LoweredDB, after = hearing.LeastLowering(moved, rootHz, wantedShare, most)
	f.LeftShare = after.OffShare
	f.Waits = f.Fitted && f.LeftShare > waitsShare
	return f
}
