// A voice is exactly where integer arithmetic says, however it got there.

package voices

import (
	"math/big"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// A note held for 24 hours, at any rate up to 192 kHz and any step, is where exact arithmetic says, to the last bit.
func TestADayOfAdvancing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rateHz := rapid.SampledFrom([]int{44100, 48000, 96000, 192000}).Draw(t, "rate")
		step := rapid.OneOf(rapid.Uint64Range(0, MaxStep*unitStep),
			rapid.SampledFrom([]uint64{unitStep, 6433713753, MaxStep*unitStep - 1})).Draw(t, "step")
		fraction := rapid.Uint32().Draw(t, "fraction")
		frames := 24 * 3600 * rateHz
		v, rest := Voice{Fraction: fraction, Step: step}, frames
		for _, run := range rapid.SliceOfN(rapid.IntRange(1, 1<<25), 0, 20).Draw(t, "runs") {
			v.Advance(run, 0)
			rest -= run
		}
		v.Advance(rest, 0)
		want := new(big.Int).Mul(new(big.Int).SetUint64(step), big.NewInt(int64(frames)))
		want.Add(want, big.NewInt(int64(fraction)))
		got := new(big.Int).Lsh(big.NewInt(v.Frame), 32)
		got.Add(got, big.NewInt(int64(v.Fraction)))
		if got.Cmp(want) != 0 {
			t.Fatalf("after %d frames at step %#x: %v/2^32, expected %v/2^32", frames, step, got, want)
		}
	})
}

// endless is a source that knows every frame, or none.
type endless struct {
	frames []float32
	gone   bool
	asked  int // the most frames asked for at once
}

func (s *endless) Window(from int64, n int) []float32 {
	s.asked = max(s.asked, n)
	if s.gone {
		return nil
	}
	window := make([]float32, 2*n)
	for i := range n {
		at := int(from+int64(i)) & (len(s.frames)/2 - 1)
		window[2*i], window[2*i+1] = s.frames[2*at], s.frames[2*at+1]
	}
	return window
}

func newEndless() *endless {
	s := &endless{frames: make([]float32, 2*1024)}
	for i := range s.frames {
		s.frames[i] = float32(i*7919%2003)/2003 - 0.5
	}
	return s
}

// Sounding, silent, without frames, or advanced: a voice moves alike, glides included, and never asks for more
// than a window at once.
func TestVoicesMoveAlike(t *testing.T) {
	m := newMixer(t, Standard, Fastest, MaxStep)
	rapid.Check(t, func(t *rapid.T) {
		frames := rapid.IntRange(1, 500).Draw(t, "frames")
		start := Voice{Frame: rapid.Int64Range(0, 1<<40).Draw(t, "frame"),
			Fraction: rapid.Uint32().Draw(t, "fraction"),
			Step:     rapid.Uint64Range(unitStep/64, MaxStep*unitStep/2).Draw(t, "step")}
		dstep := rapid.Int64Range(-int64(start.Step)/int64(frames), int64(start.Step)/int64(frames)).Draw(t, "dstep")
		advanced := start
		advanced.Advance(frames, dstep)
		for name, gain := range map[string]float32{"sounding": 1, "silent": 0, "gone": 1} {
			source := newEndless()
			source.gone = name == "gone"
			v, dst := start, make([]float32, 2*frames)
			whole := v.Render(m, source, dst, dstep, gain, gain)
			if v != advanced {
				t.Fatalf("%s: %+v, advanced: %+v", name, v, advanced)
			}
			if whole == source.gone {
				t.Fatalf("%s: Render says %v", name, whole)
			}
			if silent := !slices.ContainsFunc(dst,
				func(x float32) bool { return x != 0 }); silent != (name != "sounding") && frames > 1 {
				t.Fatalf("%s: silent: %v", name, silent)
			}
			if source.asked > WindowFrames {
				t.Fatalf("%s: %d frames asked for at once, at most %d are allowed", name, source.asked, WindowFrames)
			}
		}
	})
}

// A stretch with a ramp and a glide may be cut anywhere: same positions, samples within the rounding of the gain.
func TestVoicesCutAnywhere(t *testing.T) {
	m := newMixer(t, Standard, Fastest, 4)
	rapid.Check(t, func(t *rapid.T) {
		frames := rapid.IntRange(2, 400).Draw(t, "frames")
		cut := rapid.IntRange(1, frames-1).Draw(t, "cut")
		once := Voice{Step: rapid.Uint64Range(unitStep/8, 2*unitStep).Draw(t, "step")}
		dstep := rapid.Int64Range(-1<<18, 1<<18).Draw(t, "dstep")
		twice, source := once, newEndless()
		want, got := make([]float32, 2*frames), make([]float32, 2*frames)
		once.Render(m, source, want, dstep, 0.25, 1)
		middle := 0.25 + 0.75*float32(cut)/float32(frames)
		twice.Render(m, source, got[:2*cut], dstep, 0.25, middle)
		twice.Render(m, source, got[2*cut:], dstep, middle, 1)
		if once != twice {
			t.Fatalf("cut at %d: %+v, whole: %+v", cut, twice, once)
		}
		requireClose(t, got, want, 1e-6)
	})
}
