package arrange

import (
	"testing"

	"lapstrake/mapping/hearing"
	"lapstrake/mapping/project"
)

// leadSec is for how long a part leads.
func leadSec(bed *Arranged, part int) (sec float64) {
	for _, s := range bed.Spans {
		if s.Part == part && s.Role == Lead {
			sec += float64(s.ToFrame-s.FromFrame) / testRate
		}
	}
	return sec
}

// A take that what sounds beside its bed lies over leads longer there than where nothing does.
func TestTakesThatAreHardToHearLeadLonger(t *testing.T) {
	parts := []Part{tone(220, 20, 2, 1), tone(220, 20, 24, 2), tone(440, 20, 8, 3), tone(880, 20, 12, 4)}
	for part := range 2 {
		var sec [2]float64
		for i, under := range []int{part, 1 - part} { // what lies over it, and what lies over the other one
			course := hearing.NewMeasurer(testRate).Course(parts[under].Left, parts[under].Right, nil)
			power, leads := 0.0, &hearing.Course{}
			e := course.At(20)
			for _, p := range e {
				power += p
			}
			leads.Add(e.Times(1 / power))
			company := hearing.Company{Leads: leads, Beds: 3, Ratio: 1}
			bed, err := Bed(parts, company, project.DefaultArrange(), 15*testRate, testRate, 1)
			if err != nil {
				t.Fatal(err)
			}
			sec[i] = leadSec(bed, part)
		}
		t.Logf("take %d: %.2f s where it is covered, %.2f s where another is", part, sec[0], sec[1])
		if sec[0] <= sec[1] {
			t.Errorf("take %d leads for %.2f s beside what covers it, and for %.2f s beside what covers another", part,
				sec[0], sec[1])
		}
	}
}
