package hearing

import (
	"math"
	"testing"

	"lapstrake/mapping/sound"
)

// What stands out at a moment is what Listen hears there, at every moment of a note of two cycles that turn at speeds
// of their own.
func TestAMomentIsOneOfTheNote(t *testing.T) {
	cycle := func(start, ratio float64, from int) Cycle {
		bed := func(at int) Bed {
			lead := &Course{} // comes forward for half of the bed
			for block := range 60 {
				part := flat(-60, 1, at, at+8)
				if block >= 20 && block < 40 {
					part = flat(-30, 1, at, at+8)
				}
				lead.Steps = append(lead.Steps, part.Steps...)
			}
			return Bed{Sec: 15, Takes: []*Course{lead, flat(-45, 60, at-4, at+12)}}
		}
		return Cycle{Beds: []Bed{bed(from), bed(from + 20)}, OverlapSec: 1, StartTurns: start, Ratio: ratio}
	}
	cycles := []Cycle{cycle(0, 1, 20), cycle(0.3, 0.8, 26)}
	powers := []float64{1, 0.5}
	const sec = 70
	n := NewNote(cycles)
	heardAt := map[[2]int]bool{} // of take and step
	for take, moments := range n.Listen(powers, sec) {
		for i, lack := range moments.LackDB {
			if lack <= 0 {
				heardAt[[2]int{take, moments.Steps[i]}] = true
			}
		}
	}
	mean := 1 / n.toSPL(powers, sec) * sound.DBToPower(NoteDBSPL)
	standing := 0
	for step := range steps(sec) {
		var playing []Playing
		for i, c := range cycles {
			turns := c.StartTurns + float64(step)*StepSec/c.TurnSec() + 1e-9 // whatever the rounding
			c.StartTurns = turns - math.Floor(turns)
			playing = append(playing, Playing{c, powers[i]})
		}
		found := map[int]bool{}
		loudest := math.Inf(1)
		for _, s := range StandOut(playing, mean) {
			if s.Sones > loudest || s.ByDB < 0 {
				t.Errorf("step %d: %+v after one of %v sones", step, s, loudest)
			}
			loudest = s.Sones
			take := n.firsts[s.Cycle][s.Bed] + s.Take
			found[take] = true
			carries := false
			for _, c := range playing[s.Cycle].at(0) {
				carries = carries || c.bed == s.Bed && c.power > 0.5+1e-6
			}
			if carries && !heardAt[[2]int{take, step}] {
				t.Errorf("step %d: take %d stands out; in the note it is not heard", step, take)
			}
			standing++
		}
		for take := range n.Takes {
			if heardAt[[2]int{take, step}] && !found[take] {
				t.Errorf("step %d: take %d is heard in the note and does not stand out", step, take)
			}
		}
	}
	if standing < 100 {
		t.Errorf("%d stood out in %d moments", standing, steps(sec))
	}
	if mean2 := cycles[0].MeanPower() + 0.5*cycles[1].MeanPower(); math.Abs(10*math.Log10(mean2/mean)) > 0.5 {
		t.Errorf("mean power %v by cycles, %v of the note", mean2, mean)
	}
	if StandOut(nil, 1) != nil || StandOut([]Playing{{cycles[0], 0}}, 1) != nil ||
		StandOut([]Playing{{cycles[0], 1}}, 0) != nil {
		t.Error("something stands out of nothing")
	}
}
