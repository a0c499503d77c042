package export

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"lapstrake/mapping"
	"lapstrake/mapping/export/testyard"
)

// silent are cycles of which the length alone matters.
func silent(rateHz int, frames int64) Cycles {
	return func(int, int) Cycle { return Cycle{CycleLength: mapping.CycleLength{Frames: frames, RateHz: rateHz}} }
}

// A budget is kept, by what is missed least: nothing where all fits, then rate and length, and never the depth: eight
// bits stand in their noise. The words tell what was given up.
func TestFitBank(t *testing.T) {
	const rateHz, frames = 48000, 480000
	j := yard(t, func(j *Job) { j.Cycles = silent(rateHz, frames) })
	open := func(hz int, share float64) (Cycles, error) {
		if hz == 0 {
			hz = rateHz
		}
		if share < 1./4 {
			return nil, errors.New("shorter than twice the overlap")
		}
		return silent(hz, int64(share*frames*float64(hz)/rateHz)), nil
	}
	const full = 6 * 2 * 2 * frames // zones and layers, sides, bytes
	before := -1.0
	for _, c := range []struct {
		budget int64
		says   []string
	}{
		{2 * full, nil},
		{full * 95 / 100, []string{"44100 Hz instead of 48000"}},
		{full * 55 / 100, []string{"32000 Hz instead of 48000: nothing is left above 16 kHz",
			"cycles of 8.1 s instead of 10.0"}},
		{full * 28 / 100, []string{"32000 Hz", "cycles of 3.8 s instead of 10.0"}},
		{full * 10 / 100, []string{"16000 Hz", "cycles of 2.5 s"}},
	} {
		v, err := j.FitBank(c.budget, open)
		if err != nil {
			t.Fatal(err)
		}
		_, size, err := j.variant(shrinking{rateHz: v.Cycles(0, 0).RateHz,
			share: float64(v.Cycles(0, 0).Frames) / frames * rateHz / float64(v.Cycles(0, 0).RateHz)}, open,
			(*Job).bankVariantBytes)
		if err != nil || size > c.budget || len(v.GaveUp) != len(c.says) {
			t.Errorf("budget %d: %d bytes, given up %q; want %q", c.budget, size, v.GaveUp, c.says)
			continue
		}
		for i, says := range c.says {
			if !strings.Contains(v.GaveUp[i], says) {
				t.Errorf("budget %d: given up %q, want %q", c.budget, v.GaveUp, c.says)
			}
		}
		if cost := j.cost(shrinking{rateHz: v.Cycles(0, 0).RateHz, share: 1}, v.Cycles); cost < before {
			t.Errorf("budget %d: costs %v, less than a larger budget's %v", c.budget, cost, before)
		} else {
			before = cost
		}
	}
	if _, err := j.FitBank(full*5/100, open); !errors.Is(err, ErrBudget) ||
		!strings.Contains(err.Error(), "8 bits are not offered") {
		t.Errorf("a budget that 8 bits alone would keep: %v", err)
	}
	if _, err := j.FitBank(1000, open); err == nil || !errors.Is(err, ErrBudget) ||
		!strings.Contains(err.Error(), "1 kB, and the smallest bank that can be made has ") {
		t.Errorf("a budget of nothing: %v", err)
	}
	failed := errors.New("beds/soft-a-k036.wav: missing")
	if _, err := j.FitBank(full, func(int, float64) (Cycles, error) { return nil, failed }); !errors.Is(err, failed) {
		t.Errorf("beds that cannot be opened: %v", err)
	}
}

// A variant's bank is made of its own cycles, the set of the job's.
func TestVariantIsTheBanksAlone(t *testing.T) {
	j := yard(t, func(j *Job) {
		j.Variant = Variant{Cycles: yardCycles(testyard.RateHz, yardFrames/2), GaveUp: []string{"much"}}
	})
	_, report := written(t, j)
	var frames []int64
	for _, p := range report.Proofs {
		if !slices.Contains(frames, p.Frames) {
			frames = append(frames, p.Frames)
		}
	}
	if !slices.Equal(frames, []int64{yardFrames / 2, yardFrames}) ||
		!slices.Equal(report.Bank.GaveUp, []string{"much"}) {
		t.Errorf("files of %v frames, given up %q", frames, report.Bank.GaveUp)
	}
}

// With beds of unequal length, the cycle that loses most counts, in the words and in the cost.
func TestFitBankOfUnequalBeds(t *testing.T) {
	const rateHz = 48000
	unequal := func(most float64) Cycles {
		return func(_, layer int) Cycle {
			sec := min([]float64{4, 12}[layer], most)
			return Cycle{CycleLength: mapping.CycleLength{Frames: int64(sec * rateHz), RateHz: rateHz}}
		}
	}
	j := yard(t, func(j *Job) { j.Cycles = unequal(12) })
	v, err := j.FitBank(5_000_000, func(hz int, share float64) (Cycles, error) {
		if hz > 0 {
			return nil, errors.New("no conversion here")
		}
		return unequal(12 * share), nil
	})
	if err != nil || len(v.GaveUp) != 1 || v.GaveUp[0] != "cycles of 4.5 s instead of 12.0: a chord comes back sooner" {
		t.Errorf("given up %q, %v", v.GaveUp, err)
	}
}
