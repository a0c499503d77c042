package export

import (
	"math"
	"testing"

	"lapstrake/mapping/export/testyard"
	"lapstrake/mapping/sound"
)

// The loudness of a file is that of its sound by the meter that takes are measured with (EBU Tech 3341: its tests are
// there), and its true peak is that of a cycle that goes round and round: a peak at the join counts.
func TestMeasuresOfACycle(t *testing.T) {
	j := yard(t, func(j *Job) {
		j.Cycles = func(zone, layer int) Cycle {
			c := yardCycles(testyard.RateHz, yardFrames)(zone, layer)
			sound := c.Source.(memory)
			// Two samples on both sides of the place where the cycle closes, with a peak between them.
			sound[0], sound[len(sound)-2] = 0.9, 0.9
			return c
		}
	})
	item := Item{Zone: &j.Map.Zones[0], Cycle: j.Cycles(0, 0)}
	got, err := item.measure(noStep)
	if err != nil {
		t.Fatal(err)
	}
	var sides, twice [2][]float32
	for side := range sides {
		sides[side] = appendSide(nil, item.Cycle.Source.(memory), side)
		twice[side] = append(append(twice[side], sides[side]...), sides[side]...)
	}
	meter := sound.NewMeter(testyard.RateHz, sound.StereoWeights)
	meter.Add(sides[0], sides[1])
	peak := 20 * math.Log10(max(sound.TruePeak(twice[0]), sound.TruePeak(twice[1])))
	if once := 20 * math.Log10(sound.TruePeak(sides[0])); once > peak-0.1 {
		t.Fatalf("the test's peak at the join, %.2f dBTP, is none: %.2f without it", peak, once)
	}
	if got.integratedLUFS != meter.IntegratedLUFS() || got.maxMomentaryLUFS != meter.MaxMomentaryLUFS() ||
		math.Abs(got.truePeakDBTP-peak) > 1e-9 {
		t.Errorf("%+v, want %.2f LUFS, momentary %.2f, %.4f dBTP", got, meter.IntegratedLUFS(),
			meter.MaxMomentaryLUFS(), peak)
	}
	if !math.IsNaN(got.maxShortTermLUFS) { // the cycle is shorter than 3 s
		t.Errorf("short-term loudness %v of %.1f s", got.maxShortTermLUFS, item.Cycle.Seconds(0))
	}
}
