package export

import (
	"errors"
	"math"
	"math/rand/v2"
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
		size, err := j.bankVariantBytes(shrinking{}, v)
		if err != nil || size > c.budget || len(v.GaveUp) != len(c.says) {
			t.Errorf("budget %d: %d bytes, given up %q; want %q", c.budget, size, v.GaveUp, c.says)
			continue
		}
		for i, says := range c.says {
			if !strings.Contains(v.GaveUp[i], says) {
				t.Errorf("budget %d: given up %q, want %q", c.budget, v.GaveUp, c.says)
			}
		}
		if cost := j.weight(shrinking{rateHz: v.Cycles(0, 0).RateHz, format: j.Format}, v.Cycles); cost < before {
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
	const want = "cycles of 4.5 s instead of 12.0: a chord comes back sooner"
	if err != nil || len(v.GaveUp) != 1 || v.GaveUp[0] != want {
		t.Errorf("given up %q, %v", v.GaveUp, err)
	}
}

// Sets of files fit by the same weights, and by bits and, at last, a side besides. A file of one channel holds both
// sides, as loud as they were: here unrelated noise of one level.
func TestFitSets(t *testing.T) {
	j := yard(t, func(j *Job) { j.Parts = Parts{WAV, AIFF, Bank} })
	const full = 6 * yardFrames * 2 * 3 // zones and layers, sides, bytes
	open := func(hz int, share float64) (Cycles, error) {
		if hz > 0 || share < 0.5 {
			return nil, errors.New("no conversion here")
		}
		return yardCycles(testyard.RateHz, int64(share*yardFrames)), nil
	}
	for _, c := range []struct {
		share float64 // of the full size that the budget is
		says  string
	}{
		{1.1, ""},
		{0.75, "samples of 16 bits instead of 24"},
		// 8192 bytes of each file are for what stands beside the sound: 11 of 16 parts of the length, then 10
		{0.56, "samples of 16 bits instead of 24; cycles of 1.5 s instead of 2.2: a chord comes back sooner"},
		{0.3, "samples of 16 bits instead of 24; cycles of 1.4 s instead of 2.2: a chord comes back sooner; " +
			"one channel instead of two: no width is left"},
	} {
		v, err := j.FitSets(int64(c.share*full), open)
		if err != nil {
			t.Fatal(err)
		}
		if says := strings.Join(v.GaveUp, "; "); says != c.says {
			t.Errorf("%v of its size: given up %q, want %q", c.share, says, c.says)
		}
		with := *j
		with.MakeSets(v)
		out, report := written(t, &with)
		set := int64(0)
		for name, data := range contents(t, out) {
			if strings.HasPrefix(name, "wav/") {
				set += int64(len(data))
			}
		}
		if set > int64(c.share*full) || !slices.Equal(report.GaveUp, v.GaveUp) {
			t.Errorf("%v of its size: %d bytes of %d; given up %q", c.share, set, int64(c.share*full), report.GaveUp)
		}
		if text := contents(t, out)[howToFile]; len(v.GaveUp) > 0 != strings.Contains(text,
			"weighs least: a byte of each sample 1,\neach halving of the length 11, one side for two 18.") {
			t.Errorf("the order is missing in\n%s", text)
		}
		for _, proof := range report.Proofs {
			if proof.File == "bank.dls" && proof.Frames != yardFrames {
				t.Errorf("%v of its size: the bank has cycles of %d frames, want its own %d", c.share,
					proof.Frames, yardFrames)
			}
		}
	}
	if _, err := j.FitSets(full/8, open); !errors.Is(err, ErrBudget) ||
		!strings.Contains(err.Error(), "the smallest set of files that can be made has ") {
		t.Errorf("too small a budget: %v", err)
	}
	power := func(c Cycle) (left float64) {
		frames := make([]float32, 2*yardFrames)
		if err := c.ReadFrames(frames, 0); err != nil {
			t.Fatal(err)
		}
		for k := 0; k < len(frames); k += 2 {
			left += float64(frames[k] * frames[k])
		}
		return left
	}
	unrelated := memory(make([]float32, 2*yardFrames))
	for k, random := 0, rand.New(rand.NewPCG(1, 2)); k < len(unrelated); k++ {
		unrelated[k] = float32(0.1 * random.NormFloat64())
	}
	two := Cycle{mapping.CycleLength{Frames: yardFrames, RateHz: testyard.RateHz}, unrelated, false, nil}
	one := shrinking{mono: true}.of(func(int, int) Cycle { return two }).Cycles(0, 0)
	if ratio := power(one) / power(two); !one.Mono || math.Abs(ratio-1) > 0.03 {
		t.Errorf("one channel %v has %.3f times the power of either side, want once", one.Mono, ratio)
	}
}
