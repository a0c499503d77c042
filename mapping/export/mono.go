// Cycles of one channel made of those of two.

package export

import (
	"math"
	"sync"
)

// inMono makes cycles of one channel: the middle of both sides, as loud as they are.
func inMono(cycles Cycles) Cycles {
	return func(zone, layer int) Cycle {
		c := cycles(zone, layer)
		if !c.Mono {
			c.Source, c.Mono = &middle{of: c}, true
		}
		return c
	}
}

// middle is the middle of both sides of a cycle.
type middle struct {
	of   Cycle
	once sync.Once
	gain float32
	err  error
}

// ReadFrames implements Source.
func (m *middle) ReadFrames(dst []float32, pos int64) error {
	m.once.Do(m.level)
	if m.err != nil {
		return m.err
	}
	if err := m.of.ReadFrames(dst, pos); err != nil {
		return err
	}
	for k := 0; k < len(dst); k += 2 {
		both := m.gain * (dst[k] + dst[k+1])
		dst[k], dst[k+1] = both, both
	}
	return nil
}

// level finds the gain by some pieces: sides that are alike add up to twice their level, unrelated ones to less.
func (m *middle) level() {
	const pieces = 16
	piece := make([]float32, 2*pieceFrames)
	sides, sums := 0.0, 0.0
	for n := range int64(pieces) {
		if m.err = m.of.ReadFrames(piece, n*m.of.Frames/pieces); m.err != nil {
			return
		}
		for k := 0; k < len(piece); k += 2 {
			left, right := float64(piece[k]), float64(piece[k+1])
			sides += (left*left + right*right) / 2
			sums += (left + right) * (left + right)
		}
	}
	if m.gain = 0.5; sums > 0 {
		m.gain = float32(min(math.Sqrt(sides/sums), 1))
	}
}
