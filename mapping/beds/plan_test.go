// Checks the plan against the arithmetic of the trade.

package beds

import (
	"fmt"
	"math"
	"testing"

	"lapstrake/mapping/takes/measure"

	"pgregory.net/rapid"

	"lapstrake/mapping/beds/assign"
	"lapstrake/mapping/project"
)

// Two beds of 15 s that overlap by 1 s at both joins repeat after 28 s, and at the bottom of an octave zone, eleven
// semitones down, after 52.85 s (common practice; arithmetic). Stereo 24-bit at 48 kHz takes 288,000 bytes a second:
// 64 beds of 15 s take 276 MB.
func TestPlanOfTheDefaultGrid(t *testing.T) {
	s := project.Default()
	p := NewPlan(&s, PlanTakes{Takes: 200, SoundSec: 1800}, 2)
	if p.Roots != 16 || p.Beds != 64 || p.Zones != 16 || p.Bytes != 64*15*288000 {
		t.Errorf("%d roots, %d beds, %d zones, %d bytes: want 16, 64, 16, 276480000", p.Roots, p.Beds,
			p.Zones, p.Bytes)
	}
	if math.Abs(p.CycleSec-28) > 1e-9 || math.Abs(p.LongestCycleSec-52.85) > 0.01 || p.ShortestCycleSec != p.CycleSec {
		t.Errorf("cycles of %v, %v and %v s: want 28, 52.85 and 28", p.CycleSec, p.LongestCycleSec, p.ShortestCycleSec)
	}
	if p.TakesPerBed != 4 || p.UsesPerTake != 1.28 || p.Unplaced != 0 || p.RootsApart != 6 {
		t.Errorf("%v takes a bed, each in %v beds, %d unplaced, roots %d apart: want 4, 1.28, 0, 6", p.TakesPerBed,
			p.UsesPerTake, p.Unplaced, p.RootsApart)
	}
	if p.Heads != 32 {
		t.Errorf("%d heads, want one for each zone and layer", p.Heads)
	}
	present := 0
	for _, row := range p.Alternatives {
		if row.Present {
			present++
			if row.Bytes != p.Bytes || row.CycleSec != p.CycleSec {
				t.Errorf("the present choice is listed as %+v", row)
			}
		}
	}
	if present != 1 {
		t.Errorf("%d of the alternatives are the present choice, want 1", present)
	}
}

func TestPlanTellsWhatDoesNotFit(t *testing.T) {
	s := project.Default()
	if p := NewPlan(&s, PlanTakes{Takes: 600, SoundSec: 600}, 2); p.Unplaced != 600-512 || p.TakesPerBed != 8 {
		t.Errorf("%d takes without a seat and %v a bed, want 88 and 8", p.Unplaced, p.TakesPerBed)
	}
	if p := NewPlan(&s, PlanTakes{}, 2); p.TakesPerBed != 0 || p.BuildSec != 0 || p.Bytes == 0 {
		t.Errorf("no takes give %+v", p.PlanRow)
	}
}

// TestPlanCountsWhatAssignDoes compares the plan's averages and the takes left over with an assignment.
func TestPlanCountsWhatAssignDoes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := project.Default()
		s.Grid.Ranks = rapid.IntRange(1, 4).Draw(t, "ranks")
		s.Grid.SpacingSemitones = s.Grid.Ranks * rapid.IntRange(1, 12).Draw(t, "apart")
		s.Grid.LowestKey, s.Grid.HighestKey = rapid.IntRange(50, 60).Draw(t, "lowest"),
			rapid.IntRange(60, 76).Draw(t, "highest")
		s.Beds.MostTakes = rapid.IntRange(1, 8).Draw(t, "most takes")
		s.Beds.LeastTakes = rapid.IntRange(1, s.Beds.MostTakes).Draw(t, "least takes")
		candidates := make([]assign.Candidate, rapid.IntRange(1, 60).Draw(t, "takes"))
		for i := range candidates {
			candidates[i] = assign.Candidate{
				Index: i, Contributor: fmt.Sprint(i / 2), Key: float64(30 + i), Kind: measure.Held,
				Seconds: 1000, // length makes no bed want more than the least
			}
		}
		slots := s.Slots()
		if len(slots) > 40 {
			return // too many beds for a quick test
		}
		a := assign.Takes(candidates, slots, assign.OptionsOf(&s))
		p := NewPlan(&s, PlanTakes{Takes: len(candidates), SoundSec: 10}, 1)
		if p.Beds != len(slots) || p.Unplaced != len(a.Unused) {
			t.Fatalf("planned %d beds and %d takes unplaced; there were %d and %d", p.Beds, p.Unplaced,
				len(slots), len(a.Unused))
		}
		for _, row := range p.Alternatives {
			if row.Bytes <= 0 || row.LongestCycleSec < row.CycleSec || row.ShortestCycleSec > row.CycleSec ||
				row.BuildSec <= 0 {
				t.Fatalf("alternative %+v", row)
			}
		}
	})
}

// The demo with 48 and with 200 takes was built in 19.0 and 40.2 s of processor time (measured, processors busy with
// other work too); the plan's range holds both.
func TestPlanTellsTheTime(t *testing.T) {
	s := project.Default()
	for _, c := range []struct {
		takes              int
		soundSec, neededIn float64
	}{{46, 218, 19.0}, {192, 960, 40.2}} {
		p := NewPlan(&s, PlanTakes{Takes: c.takes, SoundSec: c.soundSec}, 1)
		if least, most := p.BuildRangeSec(); c.neededIn < least || c.neededIn > most {
			t.Errorf("%d takes: %.1f to %.1f s, want %v s within", c.takes, least, most, c.neededIn)
		}
	}
}
