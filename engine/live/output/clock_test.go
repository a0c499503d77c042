// Without a device, the clock asks for exactly the frames that time is worth.

package output

import (
	"math/big"
	"testing"
	"testing/synctest"
	"time"

	"pgregory.net/rapid"
)

// In any time, at any rate and block length, what was asked for is what has passed, within a block.
func TestClockKeepsTime(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rate := rapid.SampledFrom([]int{8000, 44100, 48000, 96000, 192000}).Draw(t, "rateHz")
		block := rapid.IntRange(16, 4096).Draw(t, "blockFrames")
		seconds := rapid.IntRange(1, 20).Draw(t, "seconds")
		p := pace{rateHz: rate}
		var now time.Duration
		frames := 0
		for now < time.Duration(seconds)*time.Second {
			if wait := p.wait(now); wait > 0 {
				// Timers fire late, by something else each time.
				now += wait + time.Duration(rapid.IntRange(0, 3).Draw(t, "late"))*time.Millisecond
				continue
			}
			p.advance(block)
			frames += block
		}
		passed := int(now * time.Duration(rate) / time.Second)
		if frames < passed-block-4*rate/1000 || frames > passed+block {
			t.Fatalf("%d frames were asked for in a time of %d", frames, passed)
		}
	})
}

// After a day the next deadline is still exact.
func TestClockDoesNotDrift(t *testing.T) {
	const rate, day = 44100, 24 * 3600
	p := pace{rateHz: rate, frames: rate*day + 1}
	want := new(big.Int).Mul(big.NewInt(rate*day+1), big.NewInt(1e9))
	want.Div(want, big.NewInt(rate))
	if got := p.wait(0); int64(got) != want.Int64() {
		t.Errorf("frame %d is due after %d ns, want %d", p.frames, got, want)
	}
}

// After a laptop's sleep the clock goes on from now: it does not render an hour in a rush.
func TestClockSkipsAfterStall(t *testing.T) {
	p := pace{rateHz: 48000}
	p.advance(480)
	if wait := p.wait(time.Hour); wait != 0 {
		t.Errorf("late by an hour, the clock waits %v", wait)
	}
	p.advance(480)
	if wait := p.wait(time.Hour); wait != 10*time.Millisecond {
		t.Errorf("after the stall the next block is due in %v, want 10ms", wait)
	}
}

func TestClockOutput(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		frames := 0
		output := OpenClock(48000, 480, func(out []float32) { frames += len(out) / 2 })
		time.Sleep(10*time.Second - time.Millisecond)
		if err := output.Close(); err != nil {
			t.Error(err)
		}
		if frames != 480000 || output.Calls() != 1000 {
			t.Errorf("%d frames in %d calls came in 10 s, want 480000 in 1000", frames, output.Calls())
		}
		time.Sleep(time.Second)
		if frames != 480000 {
			t.Error("the clock runs on after Close")
		}
	})
}

// What was due while nobody asked is not rendered before it can be: it waits for what is read ahead, though not for
// ever.
func TestClockBehindWaitsUntilReady(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		began, unready := time.Now(), 0
		ready := func(frames int) bool {
			return frames == 480 && time.Since(began)%(20*time.Millisecond) >= 5*time.Millisecond
		}
		output := openClockBehind(48000, 480, time.Second, ready, func([]float32) {
			if !ready(480) {
				unready++
			}
		})
		if calls := output.Calls(); calls < 100 || unready > 0 {
			t.Errorf("%d blocks of the second behind, %d before they were ready; want 100 and none", calls, unready)
		}
		output.Close()
		output = openClockBehind(48000, 480, time.Second, func(int) bool { return false }, func([]float32) {})
		if calls := output.Calls(); calls < 100 {
			t.Errorf("%d blocks when nothing is ever ready, want all of the second behind", calls)
		}
		output.Close()
	})
}
