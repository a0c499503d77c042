// Proof: what was written is read back and compared with what the player plays, frame by frame.

package export

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"reflect"

	"lapstrake/mapping/takes/decode"
	"lapstrake/mapping/wav"
)

// Proof is how a file, or one cycle of a bank, differs from the player's source.
type Proof struct {
	File        string  `json:"file"` // from the export's folder
	Frames      int64   `json:"frames"`
	MostDBFS    float64 `json:"largest_difference_dbfs"` // −200: none
	AllowedDBFS float64 `json:"allowed_dbfs"`
	Clipped     int64   `json:"clipped_samples"`
}

// NoDifferenceDBFS stands for no difference at all.
const NoDifferenceDBFS = -200

// Exact says whether every sample is the player's own.
func (p *Proof) Exact() bool { return p.MostDBFS <= NoDifferenceDBFS }

// allowedSteps is how far a sample may be from its source in steps of its depth: plain rounding is off by half a step,
// dither by one more; what is clipped is counted instead.
func allowedSteps(bits int) float64 {
	if bits <= 16 {
		return 1.5
	}
	return 0.5
}

// compare finds the largest difference of stored samples from their source, both read piece by piece.
type compare struct {
	steps   float64 // a full scale of 1 in steps; 0: the samples are floats, which are the source's own
	allowed float64 // in full scale
	most    float64
}

func newCompare(bits int, isFloat bool) compare {
	if isFloat {
		return compare{}
	}
	steps := math.Exp2(float64(bits - 1))
	return compare{steps: steps, allowed: (allowedSteps(bits) + 1e-3) / steps}
}

func (c *compare) add(stored, source float32) {
	want := float64(source)
	if c.steps > 0 {
		want = min(max(want, -1), 1-1/c.steps)
	}
	c.most = max(c.most, math.Abs(float64(stored)-want))
}

func (c *compare) proof(file string, frames, clipped int64) (Proof, error) {
	dBFS := func(x float64) float64 { return math.Round(10*max(20*math.Log10(x), NoDifferenceDBFS)) / 10 }
	p := Proof{File: file, Frames: frames, MostDBFS: dBFS(c.most), AllowedDBFS: dBFS(c.allowed), Clipped: clipped}
	if c.most > c.allowed {
		return p, fmt.Errorf("%s: read back, it differs from what the player plays by %.1f dBFS, expected %.1f at most; check the disk, and export again", file, p.MostDBFS, p.AllowedDBFS)
	}
	return p, nil
}

// proveWAV reads a WAV file back: its sound, and all that it says about itself.
func (j *Job) proveWAV(i *Item, dir, name string, m measures, clipped int64, step stepped) (Proof, error) {
	path := filepath.Join(dir, name)
	file, err := wav.Open(path)
	if err != nil {
		return Proof{}, err
	}
	defer file.Close()
	if err := j.proveLabels(i, path, name, m); err != nil {
		return Proof{}, err
	}
	if file.Info.Frames != i.Frames() || file.Info.RateHz != i.Cycle.RateHz || file.Info.Channels != 2 {
		return Proof{}, fmt.Errorf("%s: read back, it has %d frames of %d channels at %d Hz, expected %d of 2 at %d", name, file.Info.Frames, file.Info.Channels, file.Info.RateHz, i.Frames(), i.Cycle.RateHz)
	}
	c := newCompare(8*j.Format.Encoding().Bytes(), j.Format == wav.Float)
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
	return c.proof(name, i.Frames(), clipped)
}

func (j *Job) proveLabels(i *Item, path, name string, m measures) error {
	file, err := os.Open(path)
	if err != nil {
		return err
	}
	defer file.Close()
	info, err := file.Stat()
	if err != nil {
		return err
	}
	found, err := wav.ReadLabels(file, info.Size(), path)
	if err != nil {
		return err
	}
	want := j.wavLabels(i, m)
	if !reflect.DeepEqual(found.Sampler, want.Sampler) || !reflect.DeepEqual(found.Instrument, want.Instrument) {
		return fmt.Errorf("%s: read back, root, loop and keys are %+v and %+v, expected %+v and %+v", name, found.Sampler, found.Instrument, want.Sampler, want.Instrument)
	}
	if found.Broadcast == nil || found.Broadcast.CodingHistory != want.Broadcast.CodingHistory || len(found.Texts) == 0 || found.Texts[0] != want.Texts[0] {
		return fmt.Errorf("%s: read back, its description is not what was written", name)
	}
	return nil
}

// proveAIFF reads an AIFF file back through the decoder that takes go through.
func (j *Job) proveAIFF(i *Item, dir, name string, clipped int64, step stepped) (Proof, error) {
	sound, err := decode.File(filepath.Join(dir, name))
	if err != nil {
		return Proof{}, err
	}
	if int64(sound.Frames()) != i.Frames() || sound.RateHz != i.Cycle.RateHz || len(sound.Channels) != 2 {
		return Proof{}, fmt.Errorf("%s: read back, it has %d frames of %d channels at %d Hz, expected %d of 2 at %d", name, sound.Frames(), len(sound.Channels), sound.RateHz, i.Frames(), i.Cycle.RateHz)
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
	return c.proof(name, i.Frames(), clipped)
}
