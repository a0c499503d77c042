// A bed at another rate than its own.

package stream

import (
	"fmt"
	"math/bits"
	"sync"

	"lapstrake/voices"
)

// converted is a bed at the rate of the cycle that it shares with others. Frames
// are computed in groups on a fixed grid, so that any read gives the same ones.
type converted struct {
	Bed
	rateHz  int
	frames  int64
	workers sync.Pool // of *converter
}

const groupFrames = 256

type converter struct {
	mixer *voices.Mixer
	from  []float32
	group [2 * groupFrames]float32
}

func newConverted(bed Bed, rateHz int) (*converted, error) {
	ratio := float64(bed.RateHz()) / float64(rateHz)
	mixer, err := voices.NewMixer(voices.Best, voices.Fastest, ratio)
	if err != nil {
		return nil, fmt.Errorf("%s: %d frames a second beside a bed of %d: %w", bed.Name(), bed.RateHz(), rateHz, err)
	}
	c := &converted{Bed: bed, rateHz: rateHz}
	c.frames = bed.Frames() * int64(rateHz) / int64(bed.RateHz())
	before, after := mixer.Reach()
	window := int(groupFrames*ratio) + before + after + 2
	c.workers.New = func() any {
		mixer, _ := voices.NewMixer(voices.Best, voices.Fastest, ratio)
		return &converter{mixer: mixer, from: make([]float32, 2*window)}
	}
	return c, nil
}

func (c *converted) Frames() int64 { return c.frames }
func (c *converted) RateHz() int   { return c.rateHz }

func (c *converted) ReadStereo(dst []float32, posFrames int64) error {
	worker := c.workers.Get().(*converter)
	defer c.workers.Put(worker)
	var failed error
	for len(dst) > 0 {
		group, into := posFrames/groupFrames, posFrames%groupFrames
		if err := c.convert(worker, group*groupFrames); err != nil && failed == nil {
			failed = err
		}
		n := copy(dst, worker.group[2*into:])
		dst, posFrames = dst[n:], posFrames+int64(n/2)
	}
	return failed
}

// convert computes the group of frames that begins at frame first, on an error
// from what could be read.
func (c *converted) convert(w *converter, first int64) error {
	high, low := bits.Mul64(uint64(first), uint64(c.Bed.RateHz()))
	whole, rest := bits.Div64(high, low, uint64(c.rateHz))
	fraction, _ := bits.Div64(rest, 0, uint64(c.rateHz)) // rest/rate as 0.64 fixed point
	step, _ := bits.Div64(uint64(c.Bed.RateHz())>>32, uint64(c.Bed.RateHz())<<32, uint64(c.rateHz))

	before, _ := w.mixer.Reach()
	start := int64(whole) - int64(before)
	clear(w.from)
	skip := max(-start, 0)
	n := min(int64(len(w.from)/2), c.Bed.Frames()-start) - skip
	var failed error
	if n > 0 {
		failed = c.Bed.ReadStereo(w.from[2*skip:2*(skip+n)], start+skip)
	}
	clear(w.group[:])
	w.mixer.Mix(w.group[:], w.from, uint64(before)<<32|fraction>>32, step, 0, 1, 1)
	return failed
}
