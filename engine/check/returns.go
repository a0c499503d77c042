// When a held chord comes back.

package check

import (
	"context"
	"fmt"
	"math"

	"lapstrake/engine/show"
)

// returns finds when the cycles of the chord all stand near where they began.
func returns(_ context.Context, s *subject, said *PartReport) error {
	chord := show.NewChord(s.Cycles, s.Keys)
	if len(chord.Cycles) == 0 {
		return fmt.Errorf("none of the keys %v sounds a zone of the map", s.Keys)
	}
	said.Drawings = append(said.Drawings, &show.Course{
		Title: "The course of " + s.shortNames(s.Keys), Chord: chord, Seconds: chord.CourseSec(),
	})
	longest := 0.0
	for _, cycle := range chord.Cycles {
		longest = max(longest, cycle.CycleSec)
	}
	said.tell("cycles that sound", float64(len(chord.Cycles)), "", neither)
	said.tell("longest turn", longest, "s", neither)
	for _, back := range chord.FirstReturns() {
		after := back.AfterSec
		if back.Never {
			after = math.Inf(1)
		}
		if !back.Never {
			said.tell(fmt.Sprintf("all back within %g %% of a turn", 100*back.WithinTurns), after, "s", moreIsBetter)
		}
		if back.WithinTurns != 0.02 {
			continue
		}
		said.judge(s.limits.ReturnSec, Finding{
			What: "return_sec", Place: Place{Keys: s.Keys, AtSec: after}, Figure: after, Unit: "s",
			hear: s.hearLater(s.Keys, s.m.Dynamics.Initial, 0, after),
			Text: fmt.Sprintf("all cycles of %s are back within 2 %% of a turn after %.0f s",
				s.names(s.Keys...), after),
		}, func() string {
			return "beds of different lengths, or ranks whose roots lie other than an octave apart: lapstrake map " +
				"DIR --spacing"
		})
	}
	return nil
}
