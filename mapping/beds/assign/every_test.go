// Checks that a take which the builder wants in both layers or strands is in both.

package assign

import (
	"testing"

	"lapstrake/mapping"
	"lapstrake/mapping/project"
)

// groupsIn counts the different groups of beds that a take is in.
func groupsIn(a *Assignment, take int, group func(mapping.BedName) mapping.BedName) int {
	seen := map[mapping.BedName]bool{}
	for _, seat := range a.Places(take) {
		seen[group(a.Slots[seat.Bed])] = true
	}
	return len(seen)
}

func TestBothMeansBoth(t *testing.T) {
	for name, c := range map[string]struct {
		layer, strand bool
		want          int
	}{"layers": {true, false, 2}, "strands": {false, true, 2}, "layers and strands": {true, true, 4}} {
		candidates := collection(120, 3, 5)
		var wanted []int
		for i := 0; i < len(candidates); i += 12 {
			take := &candidates[i]
			if take.EveryLayer = c.layer; c.layer {
				take.Layer = ""
			}
			if take.EveryStrand = c.strand; c.strand {
				take.Strand = ""
			}
			wanted = append(wanted, i)
		}
		a := defaultAssign(candidates)
		s := project.Default()
		checkBounds(t, a, candidates, OptionsOf(&s))
		for _, take := range wanted {
			if got := groupsIn(a, take, candidates[take].group); got != c.want {
				t.Errorf("both %s: take %d is in %d of %d: %+v", name, take, got, c.want, a.Places(take))
			}
		}
	}
}

// With as many takes as seats, a take in both layers would push another out: every take has its one place instead.
func TestBothNeverPushesATakeOut(t *testing.T) {
	slots := []mapping.BedName{{Layer: "soft", Strand: "a", Root: 60}, {Layer: "loud", Strand: "a", Root: 60}}
	o := Options{LeastTakes: 2, MostTakes: 4, BedSec: 15, BrightMoveSemitones: 3, SoftMoveSemitones: 7}
	candidates := collection(8, 2, 1)
	candidates[3].EveryLayer, candidates[3].Layer = true, ""
	a := Takes(candidates, slots, o)
	checkBounds(t, a, candidates, o)
	if len(a.Unused) > 0 || len(a.Places(3)) != 1 {
		t.Errorf("unused %v, places %v: expected one place for each take", a.Unused, a.Places(3))
	}
}
