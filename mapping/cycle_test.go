// Checks the cycle's length and that a held note stays where exact arithmetic says.

package mapping

import (
	"fmt"
	"math"
	"math/big"
	"testing"

	"pgregory.net/rapid"
)

// Two beds of 15 s with 1 s of overlap last 28 s: 1 344 000 frames at 48 kHz (arithmetic).
func TestCycleOfTwoBeds(t *testing.T) {
	const rateHz = 48000
	frames := CycleFrames([]int64{15 * rateHz, 15 * rateHz}, rateHz)
	if frames != 1_344_000 {
		t.Fatalf("%d frames, want 1344000", frames)
	}
	c := CycleLength{Frames: frames, RateHz: rateHz}
	for shift, wantSec := range map[float64]float64{0: 28, -12: 56, 12: 14} {
		if got := c.Seconds(shift); math.Abs(got-wantSec) > 1e-12 {
			t.Errorf("shifted by %v semitones: %v s, want %v", shift, got, wantSec)
		}
		if got := c.TurnSeconds(c.Step(shift, rateHz), rateHz); math.Abs(got-wantSec) > 1e-12 {
			t.Errorf("shifted by %v semitones, at the step: %v s, want %v", shift, got, wantSec)
		}
	}
	for start, want := range map[float64]int64{0: 0, 0.25: 336_000, 0.5: 672_000, 0.75: 1_008_000} {
		if got := c.StartFrame(start); got != want {
			t.Errorf("start %v: frame %d, want %d", start, got, want)
		}
	}
}

// A note held for 24 h is within one frame of n·q·2^(shift/12), where q is the bed's rate over the
// player's. Both sides are raised to the twelfth power, so that whole numbers decide it exactly:
// (n·step − 2³²)·out)¹² < (n·in·2³²)¹²·2^shift < ((n·step + 2³²)·out)¹².
func TestNoteHeldForADayStaysInPlace(t *testing.T) {
	for _, rates := range []struct{ inHz, outHz int64 }{{48000, 48000}, {44100, 44100}, {44100, 48000}, {48000, 44100},
		{96000, 48000}} {
		for shift := -11; shift <= 0; shift++ {
			t.Run(fmt.Sprintf("%d to %d Hz, %d semitones", rates.inHz, rates.outHz, shift), func(t *testing.T) {
				n := big.NewInt(24 * 3600 * rates.outHz)
				step := new(big.Int).SetUint64(CycleLength{Frames: 1, RateHz: int(rates.inHz)}.Step(float64(shift),
					int(rates.outHz)))
				played := new(big.Int).Mul(n, step) // in 2⁻³² frames
				twelfth := func(x *big.Int) *big.Int { return x.Exp(x, big.NewInt(12), nil) }
				side := func(frames int64) *big.Int {
					x := new(big.Int).Add(played, big.NewInt(frames*OneFrame))
					x.Mul(x, big.NewInt(rates.outHz))
					return new(big.Int).Lsh(twelfth(x), uint(-shift))
				}
				exact := new(big.Int).Mul(n, big.NewInt(rates.inHz))
				exact = twelfth(exact.Lsh(exact, 32))
				if side(-1).Cmp(exact) >= 0 {
					t.Error("more than one frame ahead")
				}
				if side(1).Cmp(exact) <= 0 {
					t.Error("more than one frame behind")
				}
			})
		}
	}
}

func TestStartFrameLiesInTheCycle(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := CycleLength{Frames: rapid.Int64Range(1, 1<<40).Draw(t, "frames"), RateHz: 48000}
		start := rapid.Float64Range(0, math.Nextafter(1, 0)).Draw(t, "start")
		frame := c.StartFrame(start)
		if frame < 0 || frame >= c.Frames {
			t.Fatalf("frame %d of %d", frame, c.Frames)
		}
		// Once round the cycle, the start just before the end is the beginning.
		off := math.Abs(float64(frame) - start*float64(c.Frames))
		if off = min(off, float64(c.Frames)-off); off > 0.5 {
			t.Fatalf("frame %d is %v frames from start %v", frame, off, start)
		}
	})
}
