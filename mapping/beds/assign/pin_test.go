// Checks that a take goes where the builder pins it, or nowhere.

package assign

import (
	"slices"
	"strings"
	"testing"

	"lapstrake/mapping"
	"lapstrake/mapping/project"
)

func TestPinsAreKept(t *testing.T) {
	candidates := collection(120, 3, 5)
	candidates[7].Pin = &Pin{Root: 24} // far from its own pitch
	candidates[7].EveryLayer, candidates[7].Layer = true, ""
	candidates[8].Pin = &Pin{Layer: "soft", Strand: "b", Root: 108}
	candidates[9].Pin = &Pin{Root: 25} // no root
	full := &Pin{Layer: "loud", Strand: "a", Root: 60}
	for i := range 10 { // more than a bed holds
		candidates[20+i].Pin = full
	}
	s := project.Default()
	slots, o := s.Slots(), OptionsOf(&s)
	first := Takes(candidates, slots, o)
	o.Before = first.Carry(slots, func(take int) (int, bool) { return take, true })
	for _, a := range []*Assignment{first, Takes(candidates, slots, o)} {
		for i := range candidates {
			for _, seat := range a.Places(i) {
				if !candidates[i].Pin.allows(a.Slots[seat.Bed]) {
					t.Errorf("take %d is pinned to %v and is in %v", i, candidates[i].Pin, a.Slots[seat.Bed])
				}
			}
		}
		if got := groupsIn(a, 7, candidates[7].group); got != 2 {
			t.Errorf("pinned to a root and wanted in both layers, it is in %d", got)
		}
		if len(a.Places(8)) != 1 {
			t.Errorf("a pinned take is in %v, want its one bed", a.Places(8))
		}
		if bed := slices.Index(slots, mapping.BedName{Layer: "loud", Strand: "a", Root: 60}); len(a.Beds[bed]) != 8 ||
			len(a.Unused) != 3 {
			t.Errorf("the bed of ten pinned takes has %d, unused are %v; want 8, and 3", len(a.Beds[bed]), a.Unused)
		}
		for _, unused := range a.Unused {
			want := "pinned to loud-a-k060, whose seats are all taken"
			if unused.Take == 9 {
				want = "pinned to root 25, and there is no such bed: the roots are 24 30 36 "
			}
			if !strings.HasPrefix(unused.Reason, want) {
				t.Errorf("take %d: %q, want %q", unused.Take, unused.Reason, want)
			}
		}
	}
}
