// How loud an item is.

package export

import (
	"lapstrake/mapping/sound"
)

// measures are taken of one turn of a cycle (ITU-R BS.1770-5). A cycle that is too short for one gives NaN.
type measures struct {
	integratedLUFS, maxMomentaryLUFS, maxShortTermLUFS, truePeakDBTP float64
}

// measure reads an item once. It looks for true peaks also where the cycle's end meets its beginning.
func (i *Item) measure(step stepped) (m measures, err error) {
	const reach = sound.TruePeakReach
	ahead := make([]float32, 2*reach)
	if err := i.read(ahead, -reach); err != nil {
		return m, err
	}
	meter := sound.NewMeter(i.Cycle.RateHz, sound.StereoWeights)
	truePeak := 0.0
	var sides [2][]float32 // the last frames of the piece before, then the piece
	for side := range sides {
		sides[side] = appendSide(nil, ahead, side)
	}
	err = i.each(0, i.Frames(), func(piece []float32, _ int64) error {
		for side, before := range sides {
			sides[side] = appendSide(append(before[:0], before[len(before)-reach:]...), piece, side)
			truePeak = max(truePeak, sound.TruePeakWithin(sides[side]))
		}
		meter.Add(sides[0][reach:], sides[1][reach:])
		return step(len(piece) / 2)
	})
	m.integratedLUFS = meter.IntegratedLUFS()
	m.maxMomentaryLUFS, m.maxShortTermLUFS = meter.MaxMomentaryLUFS(), meter.MaxShortTermLUFS()
	m.truePeakDBTP = sound.AmplitudeDB(truePeak)
	return m, err
}

// appendSide appends one side of interleaved frames.
func appendSide(to, frames []float32, side int) []float32 {
	for k := side; k < len(frames); k += 2 {
		to = append(to, frames[k])
	}
	return to
}
