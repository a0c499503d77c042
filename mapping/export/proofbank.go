// Proof of the bank.

package export

import (
	"errors"
	"fmt"
	"io"
	"os"
	"reflect"

	"lapstrake/mapping/export/dls"
)

// proveBank reads the bank of the job's variant back.
func (j *Job) proveBank(items []Item, at fileAt, clipped []int64, step stepped) ([]Proof, error) {
	return j.layBank(items, bankBits).prove(at, clipped, step)
}

// prove reads a bank back. Its layout must be the one that was written. Each cycle is compared at the bank's gain,
// with its guard frames.
func (b *bankLayout) prove(at fileAt, clipped []int64, step stepped) (proofs []Proof, err error) {
	file, err := os.Open(at.path())
	if err != nil {
		return nil, err
	}
	defer file.Close()
	info, err := file.Stat()
	if err != nil {
		return nil, err
	}
	return b.proveIn(file, info.Size(), at, clipped, step)
}

// proveIn is prove on an open file, or a part of one, of so many bytes.
func (b *bankLayout) proveIn(r io.ReaderAt, sizeBytes int64, at fileAt, clipped []int64, step stepped) (proofs []Proof,
	err error) {
	found, err := dls.Read(r, sizeBytes, at.path())
	if err != nil {
		return nil, err
	}
	if !reflect.DeepEqual(found.Bank, b.Bank) {
		return nil, fmt.Errorf("%s: read back, its programs and waves are not what was written", at.name)
	}
	var problems []error
	for k := range b.items {
		p, err := b.proveItem(found, at.name, k, step)
		p.Clipped = clipped[k]
		proofs, problems = append(proofs, p), append(problems, err)
	}
	return proofs, errors.Join(problems...)
}

// proveItem compares both waves of an item, guard frames included, with its source.
func (b *bankLayout) proveItem(found *dls.File, name string, item int, step stepped) (Proof, error) {
	i, bits := &b.items[item], b.Waves[b.waves[item][0]].Bits
	c := newComparison(bits, false)
	scale := float32(1 / c.steps)
	var sides [2][]int16
	for side := range sides {
		sides[side] = make([]int16, pieceFrames)
	}
	err := i.each(-dls.GuardFrames, i.Frames()+dls.GuardFrames, func(piece []float32, at int64) error {
		for side := range sides {
			if err := found.ReadWave(sides[side][:len(piece)/2], b.waves[item][side], at+dls.GuardFrames); err != nil {
				return err
			}
		}
		for k, source := range piece {
			c.add(scale*float32(sides[k%2][k/2]), b.gain*source)
		}
		return step(len(piece) / 2)
	})
	if err != nil {
		return Proof{}, err
	}
	return c.proof(fmt.Sprintf("%s: %s", name, i.Name), i.Frames(), 0)
}
