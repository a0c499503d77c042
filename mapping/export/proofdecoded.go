// Proof of one file of the AIFF or FLAC set.

package export

import (
	"fmt"

	"lapstrake/mapping/takes/decode"
)

// proveDecoded reads a file back through the decoder that reads takes.
func (j *Job) proveDecoded(i *Item, at fileAt, clipped int64, step stepped) (Proof, error) {
	p := &decodedProof{item: i, name: at.name, step: step,
		compare: newComparison(8*j.Format.Encoding().Bytes(), false)}
	sound, err := decode.Walk(at.path(), decode.Span{}, p)
	if err == nil && (sound.Damaged || sound.Truncated) {
		err = fmt.Errorf("%s: read back, it is damaged; check the disk, and export again", p.name)
	}
	if err == nil && p.frames != i.Frames() {
		err = fmt.Errorf("%s: read back, it has %d frames, expected %d", p.name, p.frames, i.Frames())
	}
	if err != nil {
		return Proof{}, err
	}
	return p.compare.proof(at.name, i.Frames(), clipped)
}

// decodedProof hears the file and compares it with its source, block by block.
type decodedProof struct {
	item    *Item
	name    string
	step    stepped
	compare comparison
	frames  int64 // heard so far
}

func (p *decodedProof) Begin(form *decode.Sound, _ int64) error {
	if form.RateHz != p.item.Cycle.RateHz || len(form.Channels) != p.item.Cycle.channels() {
		return fmt.Errorf("%s: read back, it has %d channels at %d Hz, expected %d at %d",
			p.name, len(form.Channels), form.RateHz, p.item.Cycle.channels(), p.item.Cycle.RateHz)
	}
	return nil
}

func (p *decodedProof) Add(block [][]float32) error {
	from := p.frames
	p.frames += int64(len(block[0]))
	return p.item.each(from, min(p.frames, p.item.Frames()), func(piece []float32, at int64) error {
		for k, source := range piece {
			p.compare.add(block[k%len(block)][at-from+int64(k/2)], source)
		}
		return p.step(len(piece) / 2)
	})
}
