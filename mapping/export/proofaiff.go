// Proof of one file of the AIFF set.

package export

import (
	"fmt"

	"lapstrake/mapping/takes/decode"
)

// proveAIFF reads an AIFF file back through the decoder that reads takes.
func (j *Job) proveAIFF(i *Item, at fileAt, clipped int64, step stepped) (Proof, error) {
	sound, err := decode.File(at.path())
	if err != nil {
		return Proof{}, err
	}
	if int64(sound.Frames()) != i.Frames() || sound.RateHz != i.Cycle.RateHz || len(sound.Channels) != 2 {
		return Proof{}, fmt.Errorf("%s: read back, it has %d frames of %d channels at %d Hz, expected %d of 2 at %d",
			at.name, sound.Frames(), len(sound.Channels), sound.RateHz, i.Frames(), i.Cycle.RateHz)
	}
	c := newCompare(8*j.Format.Encoding().Bytes(), false)
	err = i.each(0, i.Frames(), func(piece []float32, at int64) error {
		for k, source := range piece {
			c.add(sound.Channels[k%2][at+int64(k/2)], source)
		}
		return step(len(piece) / 2)
	})
	if err != nil {
		return Proof{}, err
	}
	return c.proof(at.name, i.Frames(), clipped)
}
