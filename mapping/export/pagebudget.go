// How large the part that plays becomes, before it is written.

package export

import (
	"encoding/base64"
	"errors"
	"fmt"
)

const (
	tastes    = 6    // of each cycle, by which is told how small FLAC makes it
	uncertain = 1.03 // what so few say may be wrong by
)

// FitPage finds the page of least cost that fits into a budget, by the rules of FitBank; it may have one channel, too.
// How small FLAC makes a cycle is told by some blocks of it.
func (j *Job) FitPage(budgetBytes int64, open OpenCycles) (Variant, error) {
	besides, err := j.pageTextBytes()
	if err != nil {
		return Variant{}, err
	}
	type made struct {
		rateHz int
		mono   bool
	}
	perFrame := map[made]float64{} // bytes
	sides := func(s shrinking) []shrinking {
		one := s
		one.mono = true
		return []shrinking{s, one}
	}
	v, smallest, err := j.fit(budgetBytes, open, sides, func(j *Job, s shrinking, v Variant) (int64, error) {
		with := *j
		with.Page = v
		items, err := with.pageItems()
		if err != nil {
			return 0, err
		}
		now := made{s.rateHz, s.mono}
		if perFrame[now] == 0 {
			if perFrame[now], err = with.pageJob().bytesPerFrame(items); err != nil {
				return 0, err
			}
		}
		frames := int64(0)
		for i := range items {
			frames += items[i].Frames()
		}
		flac := uncertain * perFrame[now] * float64(frames)
		return besides + int64(base64.StdEncoding.EncodedLen(int(flac))), nil
	})
	if errors.Is(err, ErrBudget) {
		return v, fmt.Errorf("%w: %d kB, and the smallest page that can be made has %d kB; allow more, or give the "+
			"map fewer zones or layers", ErrBudget, budgetBytes/1000, (smallest+999)/1000)
	}
	return v, err
}

// bytesPerFrame is what a frame of the items takes as FLAC, by some blocks of each.
func (j *Job) bytesPerFrame(items []Item) (float64, error) {
	var written counter
	frames := int64(0)
	for i := range items {
		item := &items[i]
		for taste := range int64(tastes) {
			from := taste * item.Frames() / tastes
			to := min(from+flacBlockFrames, item.Frames())
			frames += to - from
			if _, err := j.encodeFLAC(&written, item, from, to, func(int) error { return nil }); err != nil {
				return 0, err
			}
		}
	}
	return float64(written) / float64(frames), nil
}

// counter counts what is written.
type counter int64

// Write implements io.Writer.
func (c *counter) Write(data []byte) (int, error) {
	*c += counter(len(data))
	return len(data), nil
}
