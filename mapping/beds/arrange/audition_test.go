package arrange

import (
	"testing"

	"lapstrake/mapping/hearing"
	"lapstrake/mapping/project"
)

// partOf is a part's share of what a bed excites.
func partOf(bed *Arranged, part int) float64 {
	own, all := 0.0, 0.0
	for i, course := range bed.Courses {
		for block := range course.Blocks() {
			e := course.At(block)
			for _, power := range e {
				all += power
				if i == part {
					own += power
				}
			}
		}
	}
	return own / all
}

// A take that what sounds beside its bed lies over is a larger part of the bed than where nothing does: it leads for
// longer there, or louder.
func TestTakesThatAreHardToHearComeForward(t *testing.T) {
	parts := []Part{tone(220, 20, 2, 1), tone(220, 20, 24, 2), tone(440, 20, 8, 3), tone(880, 20, 12, 4)}
	for part := range 2 {
		var share [2]float64
		for i, under := range []int{part, 1 - part} { // what lies over it, and what lies over the other one
			course := hearing.NewMeasurer(testRate).Course(parts[under].Left, parts[under].Right, nil)
			power, leads := 0.0, &hearing.Course{}
			e := course.At(20)
			for _, p := range e {
				power += p
			}
			leads.Add(e.Times(1 / power))
			company := hearing.Company{Cycles: []*hearing.Course{leads}, Ratio: 1,
				Keys: [][]hearing.Companion{{{Power: 3}}}}
			bed, err := Bed(parts, company, project.DefaultArrange(), 15*testRate, testRate, 1)
			if err != nil {
				t.Fatal(err)
			}
			share[i] = partOf(bed, part)
		}
		t.Logf("take %d: %.3f of the bed where it is covered, %.3f where another is", part, share[0], share[1])
		if share[0] <= share[1] {
			t.Errorf("take %d is %.3f of the bed beside what covers it, and %.3f beside what covers another", part,
				share[0], share[1])
		}
	}
}
