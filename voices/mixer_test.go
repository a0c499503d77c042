// What must hold for any stretch: exact positions, free cuts, equal arithmetics, no frame read beside the
// window.

package voices

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// stretch is a call of Mix with a source that holds exactly the frames it needs.
type stretch struct {
	src          []float32
	frames       int
	pos, step    uint64
	dstep        int64
	gain0, gain1 float32
}

// drawStretch draws steps from four octaves down to four up, still or gliding, for a mixer made for MaxStep.
func drawStretch(t *rapid.T, m *Mixer) stretch {
	s := stretch{
		frames: rapid.IntRange(1, 200).Draw(t, "frames"),
		step:   fixed(math.Exp2(rapid.Float64Range(-4, 4).Draw(t, "octaves"))),
		gain0:  rapid.Float32Range(-1, 1).Draw(t, "gain0"),
		gain1:  rapid.Float32Range(-1, 1).Draw(t, "gain1"),
	}
	if rapid.Bool().Draw(t, "gliding") {
		end := fixed(math.Exp2(rapid.Float64Range(-4, 4).Draw(t, "end octaves")))
		s.dstep = (int64(end) - int64(s.step)) / int64(s.frames)
	}
	fraction := rapid.Uint64Range(0, math.MaxUint32).Draw(t, "fraction")
	first, last := neededFrames(m, s, fraction+1000<<32)
	s.pos = fraction + uint64(1000-first)<<32
	random := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 0))
	s.src = make([]float32, 2*(last-first+1))
	for i := range s.src {
		s.src[i] = 2*random.Float32() - 1
	}
	return s
}

// neededFrames returns the first and last source frame a stretch needs from a position, found frame by frame.
func neededFrames(m *Mixer, s stretch, pos uint64) (first, last int) {
	first, last = math.MaxInt, 0
	step := s.step
	for range s.frames {
		t, _ := m.tableAt(step, 0, 1)
		first, last = min(first, int(pos>>32)-t.before()), max(last, int(pos>>32)+t.after())
		pos += step
		step += uint64(s.dstep)
	}
	return first, last
}

// mix plays a stretch into a fresh block.
func (s stretch) mix(m *Mixer) (dst []float32, pos, step uint64) {
	dst = make([]float32, 2*s.frames)
	pos, step = m.Mix(dst, s.src, s.pos, s.step, s.dstep, s.gain0, s.gain1)
	return dst, pos, step
}

func TestPositionsAreExact(t *testing.T) {
	eachArithmetic(t, Economy, MaxStep, func(t *testing.T, m *Mixer) {
		rapid.Check(t, func(t *rapid.T) {
			s := drawStretch(t, m)
			_, pos, step := s.mix(m)
			wantPos, wantStep := s.pos, s.step
			for range s.frames {
				wantPos += wantStep
				wantStep += uint64(s.dstep)
			}
			if pos != wantPos || step != wantStep {
				t.Fatalf("after %d frames position %#x, step %#x; adding one by one gives %#x, %#x", s.frames, pos,
					step, wantPos, wantStep)
			}
		})
	})
}

// TestCutAnywhere cuts a stretch in two: position and step must be the same to the bit; so must every sample
// when the gain is steady, and within the rounding of the gain when it moves.
func TestCutAnywhere(t *testing.T) {
	for q := Economy; q <= Best; q++ {
		eachArithmetic(t, q, MaxStep, func(t *testing.T, m *Mixer) {
			rapid.Check(t, func(t *rapid.T) {
				s := drawStretch(t, m)
				tolerance := 4e-7
				if rapid.Bool().Draw(t, "steady") {
					s.gain1 = s.gain0
					tolerance = 0
				}
				cut := rapid.IntRange(0, s.frames).Draw(t, "cut")
				whole, wantPos, wantStep := s.mix(m)
				parts := make([]float32, 2*s.frames)
				middle := s.gain0 + (s.gain1-s.gain0)*float32(cut)/float32(s.frames)
				pos, step := m.Mix(parts[:2*cut], s.src, s.pos, s.step, s.dstep, s.gain0, middle)
				pos, step = m.Mix(parts[2*cut:], s.src, pos, step, s.dstep, middle, s.gain1)
				if pos != wantPos || step != wantStep {
					t.Fatalf("cut at %d: position %#x, step %#x; whole %#x, %#x", cut, pos, step, wantPos, wantStep)
				}
				requireClose(t, parts, whole, tolerance)
			})
		})
	}
}

func TestArithmeticsAgree(t *testing.T) {
	if !AVX2.Available() {
		t.Log("one arithmetic alone on this processor")
		return
	}
	for q := Economy; q <= Best; q++ {
		vector, portable := newMixer(t, q, AVX2, MaxStep), newMixer(t, q, Portable, MaxStep)
		rapid.Check(t, func(t *rapid.T) {
			s := drawStretch(t, vector)
			a, posA, stepA := s.mix(vector)
			b, posB, stepB := s.mix(portable)
			if posA != posB || stepA != stepB {
				t.Fatalf("positions %#x and %#x, steps %#x and %#x differ", posA, posB, stepA, stepB)
			}
			requireClose(t, a, b, 1e-6)
		})
	}
}

// TestAdds checks that Mix adds to what is there, and touches nothing beside the block.
func TestAdds(t *testing.T) {
	eachArithmetic(t, Standard, MaxStep, func(t *testing.T, m *Mixer) {
		rapid.Check(t, func(t *rapid.T) {
			s := drawStretch(t, m)
			alone, _, _ := s.mix(m)
			room := make([]float32, 2*s.frames+16)
			for i := range room {
				room[i] = 0.5
			}
			m.Mix(room[8:][:2*s.frames], s.src, s.pos, s.step, s.dstep, s.gain0, s.gain1)
			for i := range alone {
				alone[i] += 0.5
			}
			requireClose(t, room[8:][:2*s.frames], alone, 4e-7)
			for i, v := range append(room[:8:8], room[8+2*s.frames:]...) {
				if v != 0.5 {
					t.Fatalf("sample %d beside the block became %v", i, v)
				}
			}
		})
	})
}

// TestWindow surrounds the frames a stretch needs with NaN, which any product carries on, and then leaves out
// a frame at either end.
func TestWindow(t *testing.T) {
	for q := Economy; q <= Best; q++ {
		eachArithmetic(t, q, MaxStep, func(t *testing.T, m *Mixer) {
			before, after := m.Reach()
			rapid.Check(t, func(t *rapid.T) {
				s := drawStretch(t, m)
				if first, last := neededFrames(m, s, s.pos+1000<<32); int(s.pos>>32)+1000-first > before ||
					last-int(advance(s.pos, s.step, s.dstep, s.frames-1)>>32)-1000 > after {
					t.Fatalf("the stretch needs frames outside Reach (%d, %d)", before, after)
				}
				wide := s
				wide.src = surround(s.src, 64)
				wide.pos += 64 << 32
				dst, _, _ := wide.mix(m)
				for i, v := range dst {
					if v != v {
						t.Fatalf("frame %d: a frame beside the window was read", i/2)
					}
				}
				short := s
				short.src = s.src[:len(s.src)-2]
				requirePanic(t, "of the source are needed", func() { short.mix(m) })
				early := s
				early.pos -= 1 << 32
				requirePanic(t, "of the source are needed", func() { early.mix(m) })
			})
		})
	}
}

func TestMixRefuses(t *testing.T) {
	m := newMixer(t, Standard, Portable, 2)
	src, dst := make([]float32, 2*4096), make([]float32, 2*64)
	for _, c := range []struct {
		pos, step uint64
		dstep     int64
		says      string
	}{
		{100 << 32, MaxStep<<32 + 1, 0, "out of range"},
		{100 << 32, unitStep, math.MinInt64, "out of range"},
		{100 << 32, unitStep, -unitStep / 32, "leaves"},
		{100 << 32, unitStep, unitStep, "leaves"},
		{math.MaxUint64, unitStep, 0, "of the source are needed"},
		{0, unitStep, 0, "frames -11 to 75 of the source are needed, it has 0 to 4095"},
	} {
		requirePanic(t, c.says, func() { m.Mix(dst, src, c.pos, c.step, c.dstep, 1, 1) })
	}
	requirePanic(t, "too long", func() { m.Mix(make([]float32, 2*(maxFrames+1)), src, 100<<32, 0, 0, 1, 1) })
	if pos, step := m.Mix(nil, src, 5, 7, 3, 1, 1); pos != 5 || step != 7 {
		t.Errorf("no frames moved the voice to %d at step %d", pos, step)
	}
}

func TestMixAllocatesNothing(t *testing.T) {
	eachArithmetic(t, Standard, MaxStep, func(t *testing.T, m *Mixer) {
		src, dst := make([]float32, 2*4096), make([]float32, 2*67)
		allocations := testing.AllocsPerRun(100, func() {
			Prefetch(src)
			m.Mix(dst, src, 1000<<32, unitStep/2, unitStep/16, 0, 1)
		})
		if allocations != 0 {
			t.Errorf("%v allocations a call", allocations)
		}
	})
}

func surround(src []float32, frames int) []float32 {
	wide := make([]float32, len(src)+4*frames)
	for i := range wide {
		wide[i] = float32(math.NaN())
	}
	copy(wide[2*frames:], src)
	return wide
}

type failer interface {
	Helper()
	Fatalf(format string, args ...any)
}

func requireClose(t failer, got, want []float32, tolerance float64) {
	t.Helper()
	for i := range want {
		if diff := math.Abs(float64(got[i]) - float64(want[i])); !(diff <= tolerance) {
			t.Fatalf("sample %d: %v and %v differ by %.3g, allowed %.3g", i, got[i], want[i], diff, tolerance)
		}
	}
}

func requirePanic(t failer, says string, f func()) {
	t.Helper()
	defer func() {
		t.Helper()
		if message, _ := recover().(string); !strings.Contains(message, says) {
			t.Fatalf("panic %q, want one with %q", message, says)
		}
	}()
	f()
}
