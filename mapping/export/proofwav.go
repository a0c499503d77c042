// Proof of one file of the WAV set.

package export

import (
	"fmt"
	"os"
	"reflect"
	"slices"

	"lapstrake/mapping/wav"
)

// proveWAV reads a WAV file back: its sound, and all that it says about itself.
func (j *Job) proveWAV(i *Item, at fileAt, clipped int64, step stepped) (Proof, error) {
	file, err := wav.Open(at.path())
	if err != nil {
		return Proof{}, err
	}
	defer file.Close()
	if err := j.proveLabels(i, at); err != nil {
		return Proof{}, err
	}
	if file.Info.Frames != i.Frames() || file.Info.RateHz != i.Cycle.RateHz ||
		file.Info.Channels != i.Cycle.channels() {
		return Proof{}, fmt.Errorf("%s: read back, it has %d frames of %d channels at %d Hz, expected %d of %d at %d",
			at.name, file.Info.Frames, file.Info.Channels, file.Info.RateHz, i.Frames(), i.Cycle.channels(),
			i.Cycle.RateHz)
	}
	c := newComparison(8*j.Format.Encoding().Bytes(), j.Format == wav.Float)
	stored := make([]float32, 2*pieceFrames)
	err = i.each(0, i.Frames(), func(piece []float32, at int64) error {
		if err := file.ReadStereo(stored[:len(piece)], at); err != nil {
			return err
		}
		for k, source := range piece {
			c.add(stored[k], source)
		}
		return step(len(piece) / 2)
	})
	if err != nil {
		return Proof{}, err
	}
	return c.proof(at.name, i.Frames(), clipped)
}

// proveLabels compares the chunks beside the sound with those that wavLabels gives. It leaves the loudness out.
func (j *Job) proveLabels(i *Item, at fileAt) error {
	file, err := os.Open(at.path())
	if err != nil {
		return err
	}
	defer file.Close()
	info, err := file.Stat()
	if err != nil {
		return err
	}
	found, err := wav.ReadLabels(file, info.Size(), at.path())
	if err != nil {
		return err
	}
	want, err := j.wavLabels(i)
	if err != nil {
		return err
	}
	if !reflect.DeepEqual(found.Sampler, want.Sampler) || !reflect.DeepEqual(found.Instrument, want.Instrument) {
		return fmt.Errorf("%s: read back, root, loop and keys are %+v and %+v, expected %+v and %+v",
			at.name, found.Sampler, found.Instrument, want.Sampler, want.Instrument)
	}
	if found.Broadcast == nil || found.Broadcast.CodingHistory != want.Broadcast.CodingHistory ||
		!slices.Equal(found.Texts, writtenTexts(want.Texts)) || !slices.Equal(found.Cues, want.Cues) ||
		found.XML != want.XML {
		return fmt.Errorf("%s: read back, its description is not what was written", at.name)
	}
	return nil
}

// writtenTexts are those that a file holds: not the empty ones.
func writtenTexts(texts []wav.Text) []wav.Text {
	return slices.DeleteFunc(slices.Clone(texts), func(t wav.Text) bool { return t.Text == "" })
}
