package assign

import (
	"testing"

	"lapstrake/mapping/project"
	"lapstrake/mapping/takes/measure"
)

// Where pads are meant for one strand and strokes for the other, every bed still gets one that goes on and one that
// strikes; a builder's own word keeps strands apart.
func TestBedsHaveBothManners(t *testing.T) {
	takes := collection(120, 3, 5)
	for i := range takes {
		takes[i].StrandFixed = false
		switch takes[i].Kind {
		case measure.Held:
			takes[i].Strand = "a"
		case measure.Struck:
			takes[i].Strand = "b"
		}
	}
	oneSided := func(takes []Candidate, least int) (n int) {
		s := project.Default()
		s.Beds.LeastOfManner = least
		placed := Takes(takes, s.Slots(), OptionsOf(&s))
		for bed, seats := range placed.Beds {
			if root := placed.Slots[bed].Root; root < 42 || root > 78 {
				continue // few takes are made for the keyboard's ends
			}
			var of [manners]int
			for _, seat := range seats {
				of[mannerOf(&takes[seat.Take], placed.Slots[bed])]++
			}
			if of[goesOn] == 0 || of[strikes] == 0 {
				n++
			}
		}
		return n
	}
	if n := oneSided(takes, 1); n > 0 {
		t.Errorf("%d of 28 beds have no take that goes on, or none that strikes", n)
	}
	if n := oneSided(takes, 0); n < 10 {
		t.Errorf("with strands kept apart, only %d of 28 beds are of one manner", n)
	}
	for i := range takes {
		takes[i].StrandFixed = takes[i].Strand != ""
	}
	if n := oneSided(takes, 1); n < 10 {
		t.Errorf("where the builder fixed the strands, only %d of 28 beds are of one manner", n)
	}
}

// A few strokes of one register are not moved all over the keyboard for that.
func TestMannersMoveNoneFar(t *testing.T) {
	takes := collection(60, 3, 6)
	for i := range takes {
		takes[i].Kind, takes[i].Strand, takes[i].StrandFixed = measure.Held, "a", false
		if takes[i].Key != takes[i].Key {
			takes[i].Key = 60
		}
		if i < 6 {
			takes[i].Kind, takes[i].Strand, takes[i].Key = measure.Struck, "b", float64(80+2*i)
		} else if i%2 == 0 {
			takes[i].Strand = "b"
		}
	}
	s := project.Default()
	placed := Takes(takes, s.Slots(), OptionsOf(&s))
	for bed, seats := range placed.Beds {
		for _, seat := range seats {
			if seat.Take < 6 && float64(placed.Slots[bed].Root) < takes[seat.Take].Key-24 {
				t.Errorf("a stroke of key %.0f is in %s", takes[seat.Take].Key, placed.Slots[bed])
			}
		}
	}
}
