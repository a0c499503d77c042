// The spectrum of a cycle over one whole turn, both channels and their sum in mono.

package check

import (
	"math"

	"lapstrake/engine/stream"
	"lapstrake/mapping/sound"
)

// spectrumSec is about how long a frame of the spectra lasts: bins of 6 Hz tell the lowest keys' partials apart.
const spectrumSec = 0.17

// cycleSpectrum is the mean power of each bin over one turn of a cycle, unshifted: mean squares, full scale ±1.
type cycleSpectrum struct {
	BinHz  float64
	Stereo []float64 // left and right summed
	Mono   []float64 // of (left + right) / √2: as much as stereo where both are alike
}

// measureCycle reads one turn.
func measureCycle(c *stream.Cycle) (*cycleSpectrum, error) {
	size := sound.PowerOfTwo(spectrumSec, c.RateHz)
	p := sound.BorrowSpectrum(size)
	defer p.GiveBack()
	s := &cycleSpectrum{
		BinHz:  float64(c.RateHz) / float64(size),
		Stereo: make([]float64, size/2+1), Mono: make([]float64, size/2+1),
	}
	frames := make([]float32, 2*size)
	left, right, mid := make([]float32, size), make([]float32, size), make([]float32, size)
	hops := max(int(c.Frames)/(size/2), 1) // the cycle goes on at its end, so no frame is left out or counted more
	for hop := range hops {
		if err := c.ReadFrames(frames, int64(hop)*c.Frames/int64(hops)); err != nil {
			return nil, err
		}
		for i := range left {
			left[i], right[i] = frames[2*i], frames[2*i+1]
			mid[i] = (left[i] + right[i]) * math.Sqrt2 / 2
		}
		for _, channel := range [][]float32{left, right} {
			add(s.Stereo, p.At(channel, size/2), 1/float64(hops))
		}
		add(s.Mono, p.At(mid, size/2), 1/float64(hops))
	}
	return s, nil
}

func add(sum, power []float64, weight float64) {
	for i, x := range power {
		sum[i] += x * weight
	}
}

// oneTurn reads both sides of a cycle, from its first frame once round.
func oneTurn(c *stream.Cycle) (left, right []float32, err error) {
	frames := make([]float32, 2*c.Frames)
	if err := c.ReadFrames(frames, 0); err != nil {
		return nil, nil, err
	}
	left, right = make([]float32, c.Frames), make([]float32, c.Frames)
	for i := range left {
		left[i], right[i] = frames[2*i], frames[2*i+1]
	}
	return left, right, nil
}
