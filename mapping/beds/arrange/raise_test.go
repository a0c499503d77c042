// Who is raised because the others bury it, on constructed cases.

package arrange

import (
	"math"
	"slices"
	"testing"

	"lapstrake/mapping/sound"
)

// bandsOf makes blocks of 0.1 s in which the given bands have the given powers.
func bandsOf(blocks int, powers map[int]float64) Bands {
	b := Bands{BlockSec: 0.1, Blocks: make([][erbBands]float64, blocks)}
	for k := range b.Blocks {
		for band, p := range powers {
			b.Blocks[k][band] = p
		}
	}
	return b
}

// alone is how parts fare without company.
func alone(parts []Bands) []standing {
	return audible(parts, slices.Repeat([]float64{1}, len(parts)), &[erbBands]float64{}, 1)
}

// buried are those that are audible for less than a tenth of the bed.
func buried(parts []Bands) (is []bool) {
	for _, h := range alone(parts) {
		is = append(is, h.audibleSec < 0.1*float64(len(parts[0].Blocks))*parts[0].BlockSec)
	}
	return is
}

func TestAudibleOnConstructedCases(t *testing.T) {
	const same = 1.0
	masked, above := sound.DBToPower(-6.1), sound.DBToPower(-5.9)
	half := bandsOf(10, nil)
	for k := range 5 {
		half.Blocks[k][12] = same
	}
	for _, c := range []struct {
		name  string
		parts []Bands
		want  []float64 // seconds audible
	}{
		{"alone", []Bands{bandsOf(10, map[int]float64{3: 1e-6})}, []float64{1}},
		{"two alike", []Bands{bandsOf(10, map[int]float64{3: same}), bandsOf(10, map[int]float64{3: same})},
			[]float64{1, 1}},
		{"6.1 dB under", []Bands{bandsOf(10, map[int]float64{3: same}), bandsOf(10, map[int]float64{3: masked})},
			[]float64{1, 0}},
		{"5.9 dB under", []Bands{bandsOf(10, map[int]float64{3: same}), bandsOf(10, map[int]float64{3: above})},
			[]float64{1, 1}},
		{"soft in a band of its own", []Bands{bandsOf(10, map[int]float64{3: same}),
			bandsOf(10, map[int]float64{3: masked, 20: 1e-3})}, []float64{1, 1}},
		{"below the floor in a band of its own", []Bands{bandsOf(10, map[int]float64{3: same}),
			bandsOf(10, map[int]float64{3: masked, 20: 1e-6})}, []float64{1, 0}},
		{"half the time", []Bands{bandsOf(10, map[int]float64{3: same}), half}, []float64{1, 0.5}},
		// Each of five alike is 6.02 dB under the four others together; each of four 4.77 dB under three.
		{"five alike", slices.Repeat([]Bands{bandsOf(10, map[int]float64{7: same})}, 5), []float64{0, 0, 0, 0, 0}},
		{"four alike", slices.Repeat([]Bands{bandsOf(10, map[int]float64{7: same})}, 4), []float64{1, 1, 1, 1}},
		{"silent", []Bands{bandsOf(10, nil), bandsOf(10, map[int]float64{3: same})}, []float64{0, 1}},
	} {
		for i, h := range alone(c.parts) {
			if math.Abs(h.audibleSec-c.want[i]) > 1e-9 {
				t.Errorf("%s: part %d audible for %.2f s, want %.2f", c.name, i, h.audibleSec, c.want[i])
			}
		}
	}
}

func TestTheBuriedAreRaised(t *testing.T) {
	loud := bandsOf(50, map[int]float64{5: 1, 9: 1})
	soft := bandsOf(50, map[int]float64{5: sound.DBToPower(-9)})
	lost := bandsOf(50, map[int]float64{9: sound.DBToPower(-30)})
	parts := []Bands{loud, soft, lost}
	if b := buried(parts); !b[1] || !b[2] {
		t.Fatal("the soft and the lost part are not buried to begin with")
	}
	gainsDB := raiseBuried(parts, []float64{6, 6, 6})
	if gainsDB[0] != 0 || gainsDB[1] < 3 || gainsDB[1] > 6 || gainsDB[2] != 6 {
		t.Errorf("raised by %v dB, want 0, 3 to 6, and 6", gainsDB)
	}
	for i := range parts {
		parts[i].scale(sound.DBToPower(gainsDB[i]))
	}
	if b := buried(parts); b[0] || b[1] || !b[2] {
		t.Errorf("buried after raising: %v, want only the last", b)
	}
}
