// A take told apart from the rest of its bed, at the very places where it sounds there.

package beds

import (
	"fmt"
	"path/filepath"

	"lapstrake/mapping/project"
	"lapstrake/mapping/sound"
)

// Apart is a bed in two: one of its takes, and all the rest. Added they are the bed's file.
type Apart struct {
	Take, Rest HeardTake // alike long, at the bed's rate, not matched in loudness
	BedLUFS    float64   // of the whole
}

// TellApart tells a take of the project in dir apart in a bed that a build laid, as a map names it. A bed that was
// edited since, or that no build made, is an error.
func TellApart(dir, take, bed string) (*Apart, error) {
	stems, err := ReadStems(dir, []string{bed})
	if err != nil {
		return nil, err
	}
	if !stems[0].Built {
		return nil, fmt.Errorf("%s: is not as the last build laid it: its takes cannot be told apart; build anew",
			filepath.Join(dir, project.BedsFolder, filepath.Base(bed)))
	}
	h, err := openHearing(dir, take)
	if err != nil {
		return nil, err
	}
	alone, err := h.version(Alone, bed)
	if err != nil {
		return nil, err
	}
	whole, err := h.version(InBed, bed)
	if err != nil {
		return nil, err
	}
	if len(whole.Left) != len(alone.Left) || whole.RateHz != alone.RateHz {
		return nil, fmt.Errorf("%s: %d frames at %d Hz: expected %d at %d Hz, as settings and sheet have it; build "+
			"anew", bed, len(whole.Left), whole.RateHz, len(alone.Left), alone.RateHz)
	}
	rest := HeardTake{Left: make([]float32, len(alone.Left)), Right: make([]float32, len(alone.Left)),
		RateHz: alone.RateHz}
	for i := range alone.Left {
		rest.Left[i], rest.Right[i] = whole.Left[i]-alone.Left[i], whole.Right[i]-alone.Right[i]
	}
	return &Apart{Take: alone, Rest: rest, BedLUFS: loudnessOf(whole.Left, whole.Right, whole.RateHz)}, nil
}

// mostMatchDB is how far a mix is raised at most to be as loud as its bed: a take that is buried is noise by then.
const mostMatchDB = 18

// Mix is the take at one gain and the rest at another, as interleaved stereo. Where it is matched, it is as loud as
// the whole bed (ITU-R BS.1770-5, gated), but raised by mostMatchDB at most; gainDB is by how much. Silence stays.
func (a *Apart) Mix(takeGain, restGain float64, matched bool) (stereo []float32, gainDB float64) {
	mix := HeardTake{Left: make([]float32, len(a.Take.Left)), Right: make([]float32, len(a.Take.Left)),
		RateHz: a.Take.RateHz}
	t, r := float32(takeGain), float32(restGain)
	for i := range mix.Left {
		mix.Left[i] = t*a.Take.Left[i] + r*a.Rest.Left[i]
		mix.Right[i] = t*a.Take.Right[i] + r*a.Rest.Right[i]
	}
	if matched {
		if is := loudnessOf(mix.Left, mix.Right, mix.RateHz); is > -100 {
			gainDB = min(a.BedLUFS-is, mostMatchDB)
		}
		mix.Left, mix.Right = scaled(mix.Left, mix.Right, sound.DBToAmplitude(gainDB))
	}
	stereo = make([]float32, 2*len(mix.Left))
	for i, left := range mix.Left {
		stereo[2*i], stereo[2*i+1] = left, mix.Right[i]
	}
	return stereo, gainDB
}
