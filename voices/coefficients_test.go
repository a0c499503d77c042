package voices

import (
	"math"
	"testing"
)

// TestDesigns checks the plain designs before they are rounded: each phase passes a constant unchanged, and a
// phase and its mirror are each other's reverse, as a delay and the same advance must be.
func TestDesigns(t *testing.T) {
	for q := Economy; q <= Best; q++ {
		d := designs[q]
		const phases = 16
		c := leastSquares(d.taps, phases, []band{
			{0, lowEdge, lowWeight, true}, {0, d.fullEdge, d.fullWeight, true}, {d.fullEdge, d.passEdge, 1, true},
		})
		for p := range phases + 1 {
			sum := 0.0
			for k := range d.taps {
				sum += c.At(k, p)
				if mirror := c.At(d.taps-1-k, phases-p); math.Abs(c.At(k, p)-mirror) > 1e-7 {
					t.Errorf("%v: phase %d tap %d is %v, its mirror %v", q, p, k, c.At(k, p), mirror)
				}
			}
			if decibels(math.Abs(sum-1)) > -100 {
				t.Errorf("%v: phase %d has gain %v for a constant", q, p, sum)
			}
		}
	}
}

// TestTablesFollowEachOther checks that every step finds a table that was made for it or a slightly greater
// step.
func TestTablesFollowEachOther(t *testing.T) {
	for q := Economy; q <= Best; q++ {
		m := newMixer(t, q, Portable, MaxStep)
		for i, table := range m.tables {
			if len(table.rows)*tapGroup != table.taps<<table.phaseBits {
				t.Errorf("%v: table %d has %d groups for %d taps in 2^%d phases", q, i, len(table.rows),
					table.taps, table.phaseBits)
			}
			if i == 0 {
				continue
			}
			ratio := float64(table.lastStep) / float64(m.tables[i-1].lastStep)
			if math.Abs(12*math.Log2(ratio)-2) > 1e-6 {
				t.Errorf("%v: table %d reaches %.4f times further than the one before, want two semitones", q, i,
					ratio)
			}
			if grown := float64(table.lastStep) / unitStep * float64(designs[q].taps); float64(
				table.taps) < grown-1e-3 {
				t.Errorf("%v: table %d has %d taps for %.1f", q, i, table.taps, grown)
			}
		}
		if last := m.tables[len(m.tables)-1].lastStep; last < MaxStep*unitStep {
			t.Errorf("%v: the last table ends at step %.3f", q, float64(last)/unitStep)
		}
	}
}

// TestTablesAreShared checks that a second mixer costs no tables, and that one made for small steps does not
// reach far.
func TestTablesAreShared(t *testing.T) {
	wide, narrow := newMixer(t, High, Portable, 4), newMixer(t, High, Fastest, 1)
	if wide.tables[0] != narrow.tables[0] {
		t.Error("two mixers of one quality have tables of their own")
	}
	if before, after := narrow.Reach(); before != 15 || after != 16 {
		t.Errorf("32 taps reach %d before and %d after, want 15 and 16", before, after)
	}
	if before, _ := wide.Reach(); before < 63 {
		t.Errorf("up to step 4 the reach before is %d, want 63 or more", before)
	}
}
