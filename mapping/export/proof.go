// Proof: each file is read back and compared with what the player plays, frame by frame.

package export

import (
	"fmt"
	"math"

	"lapstrake/mapping/sound"
)

// Proof says how far a file, or one cycle of a bank, differs from what the player plays.
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

// allowedSteps is how far a sample may be from its source, in steps of its depth. Plain rounding is off by half a
// step, dither by one step more. Clipped samples are counted instead.
func allowedSteps(bits int) float64 {
	if bits <= 16 {
		return 1.5
	}
	return 0.5
}

// comparison finds the largest difference of stored samples from their source, both read piece by piece.
type comparison struct {
	steps   float64 // of a full scale of 1; 0: the samples are floats, equal to the source's
	allowed float64 // the largest difference, full scale 1
	most    float64 // the largest found
}

func newComparison(bits int, isFloat bool) comparison {
	if isFloat {
		return comparison{}
	}
	steps := math.Exp2(float64(bits - 1))
	return comparison{steps: steps, allowed: (allowedSteps(bits) + 1e-3) / steps}
}

func (c *comparison) add(stored, source float32) {
	want := float64(source)
	if c.steps > 0 {
		want = min(max(want, -1), 1-1/c.steps)
	}
	c.most = max(c.most, math.Abs(float64(stored)-want))
}

func (c *comparison) proof(file string, frames, clipped int64) (Proof, error) {
	dBFS := func(x float64) float64 { return math.Round(10*max(sound.AmplitudeDB(x), NoDifferenceDBFS)) / 10 }
	p := Proof{File: file, Frames: frames, MostDBFS: dBFS(c.most), AllowedDBFS: dBFS(c.allowed), Clipped: clipped}
	if c.most > c.allowed {
		return p, fmt.Errorf("%s: read back, it differs from what the player plays by %.1f dBFS, expected %.1f at "+
			"most; check the disk, and export again", file, p.MostDBFS, p.AllowedDBFS)
	}
	return p, nil
}
