// Whether a finished bed has the levels that it was to have.

package beds

import (
	"fmt"
	"math"
)

// What a bed is held to, beside its own settings (common practice).
const (
	loudnessLU   = 0.5 // off its target, either way
	mostMonoLoss = 3.0
)

// unevenness says what a bed misses.
func (record *buildRecord) unevenness(r *recipe) (words []string) {
	e := record.Beds[r.Slot.String()]
	if e == nil || len(r.Parts) == 0 {
		return nil
	}
	say := func(format string, args ...any) { words = append(words, e.Bed+": "+fmt.Sprintf(format, args...)) }
	if off := e.LoudnessLUFS - r.Arrange.TargetLUFS; math.Abs(off) > loudnessLU {
		say("loudness %.1f LUFS, expected %.1f", e.LoudnessLUFS, r.Arrange.TargetLUFS)
	}
	if e.ShortTermMinLU != nil && (*e.ShortTermMinLU < -r.Arrange.SteadyLU || *e.ShortTermMaxLU > r.Arrange.SteadyLU) {
		say("short-term loudness from %+.1f to %+.1f LU, expected within %.1f", *e.ShortTermMinLU, *e.ShortTermMaxLU,
			r.Arrange.SteadyLU)
	}
	if e.TruePeakDBTP > r.Arrange.CeilingDBTP {
		say("true peak %.1f dBTP, expected at most %.1f", e.TruePeakDBTP, r.Arrange.CeilingDBTP)
	}
	if e.MonoLossDB > mostMonoLoss {
		say("the mono sum loses %.1f dB, expected less than %.0f", e.MonoLossDB, mostMonoLoss)
	}
	return words
}
