// Coefficient tables: one per range of steps, laid out for the kernels, shared by all mixers.

package voices

import (
	"math"
	"sync"
)

const (
	// A full-scale partial below lowEdge is the commonest and its images the most exposed: it weighs more.
	lowEdge   = 2.0 / 48
	lowWeight = 50

	stepsPerOctave = 6 // tables per octave of step above 1: cutoffs are at most two semitones too low
	tapGroup       = 8 // taps come in groups of one AVX register's length
	unitStep       = 1 << 32
)

// groupOrder says where in a group the coefficient of each tap is stored: the AVX2 kernel doubles each
// coefficient for left and right by unpacking, which takes the low and then the high halves of two 128-bit
// lanes.
var groupOrder = [tapGroup]int{0, 1, 4, 5, 2, 3, 6, 7}

// taps8 holds what a kernel needs for one group of taps, a cache line: their coefficients at a row's phase,
// and their slopes to the next row, to be multiplied by the low 32−phaseBits bits of the position and added.
// Both in groupOrder.
type taps8 struct {
	coefficients, slopes [tapGroup]float32
}

// table holds the coefficients for all steps up to lastStep (and above the table before).
type table struct {
	taps      int // a multiple of tapGroup
	phaseBits int
	lastStep  uint64  // 32.32 fixed point
	rows      []taps8 // 2^phaseBits rows of taps/tapGroup groups
}

// before and after say how many frames the table reads before the position's whole frame, and after it.
func (t *table) before() int { return t.taps/2 - 1 }
func (t *table) after() int  { return t.taps / 2 }

// newTable designs the table that serves steps up to stretch. The plain table (plain true) has nothing to cut
// off: until 2·(1 − passEdge) a source has no partial high enough to fold to below the pass edge. The others
// end their pass band at passEdge/stretch, silence all that would fold to below passEdge, and grow their taps
// by the stretch; narrower bands need fewer phases.
func newTable(d design, stretch float64, plain bool) *table {
	scale := stretch
	if plain {
		scale = 1
	}
	bands := []band{
		{0, lowEdge / scale, lowWeight, true},
		{0, d.fullEdge / scale, d.fullWeight, true},
		{d.fullEdge / scale, d.passEdge / scale, 1, true},
	}
	if !plain {
		bands = append(bands, band{(1 - d.passEdge) / scale, 0.5, 1, false})
	}
	t := &table{
		taps:      tapGroup * int(math.Ceil(float64(d.taps)*scale/tapGroup)),
		phaseBits: d.phaseBits - int(math.Log2(scale)),
		lastStep:  uint64(stretch * unitStep),
	}
	t.fill(bands)
	return t
}

func (t *table) fill(bands []band) {
	phases, groups := 1<<t.phaseBits, t.taps/tapGroup
	columns := leastSquares(t.taps, phases, bands)
	slopeScale := math.Ldexp(1, t.phaseBits-32)
	t.rows = make([]taps8, phases*groups)
	for p := range phases {
		for tap := range t.taps {
			here, next := columns.At(tap, p), columns.At(tap, p+1)
			group, place := &t.rows[p*groups+tap/tapGroup], groupOrder[tap%tapGroup]
			group.coefficients[place] = float32(here)
			group.slopes[place] = float32((next - here) * slopeScale)
		}
	}
}

// built keeps every quality's tables by rising lastStep, as far as any mixer needed them.
var built struct {
	sync.Mutex
	tables [len(designs)][]*table
}

// tablesFor returns the quality's tables up to maxStep, and builds those not there yet.
func tablesFor(q Quality, maxStep float64) []*table {
	built.Lock()
	defer built.Unlock()
	plainStep := 2 * (1 - designs[q].passEdge)
	for n := 0; ; n++ {
		stretch := plainStep * math.Exp2(float64(n)/stepsPerOctave)
		if n == len(built.tables[q]) {
			built.tables[q] = append(built.tables[q], newTable(designs[q], stretch, n == 0))
		}
		if stretch >= maxStep {
			return built.tables[q][: n+1 : n+1]
		}
	}
}
