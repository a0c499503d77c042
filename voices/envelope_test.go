// The envelope's shapes and times.

package voices

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// life plays an envelope frame by frame, released and faded at the given frames.
func life(e Envelope, frames, releaseAt, fadeAt int) []float64 {
	levels := make([]float64, frames)
	e.Begin()
	for i := range levels {
		if i == releaseAt {
			e.Release()
		}
		if i == fadeAt {
			e.Fade(240)
		}
		levels[i] = e.Level()
		e.Advance(1)
	}
	return levels
}

func TestEnvelopeTimes(t *testing.T) {
	levels := life(Envelope{AttackFrames: 1000, ReleaseFrames: 3000}, 10000, 2000, -1)
	for at, want := range map[int]float64{0: 0, 250: 0.5 - math.Sqrt2/4, 500: 0.5, 1000: 1, 1999: 1, 2000: 1,
		3000: 0.1, 5000: 1e-3, 9000: 0} {
		if math.Abs(levels[at]-want) > 1e-9 {
			t.Errorf("level at frame %d is %v, expected %v", at, levels[at], want)
		}
	}
	if levels[7990] == 0 {
		t.Error("the release ends before it has fallen by 120 dB")
	}
}

// Whatever happens to a note and when, its level stays from 0 to 1, never moves faster than its times allow, and
// does not depend on the steps in which the envelope is advanced.
func TestEnvelopesNeverJump(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := Envelope{AttackFrames: rapid.IntRange(100, 2000).Draw(t, "attack"),
			ReleaseFrames: rapid.IntRange(100, 2000).Draw(t, "release")}
		releaseAt, fadeAt := rapid.IntRange(0, 2500).Draw(t, "release at"), rapid.IntRange(0, 4000).Draw(t, "fade at")
		levels := life(e, 5000, releaseAt, fadeAt)
		most := max(math.Pi/2/float64(e.AttackFrames), math.Pi/2/240, 3*math.Ln10/float64(e.ReleaseFrames))
		for i := 1; i < len(levels); i++ {
			if levels[i] < 0 || levels[i] > 1 || math.Abs(levels[i]-levels[i-1]) > most*1.001 {
				t.Fatalf("frame %d: level %v after %v, a move of at most %v was expected", i, levels[i],
					levels[i-1], most)
			}
		}
		if levels[fadeAt+240] != 0 {
			t.Fatalf("a fade of 240 frames from frame %d leaves %v", fadeAt, levels[fadeAt+240])
		}

		e.Begin()
		for at := 0; at < releaseAt; {
			n := min(rapid.IntRange(1, 64).Draw(t, "step"), releaseAt-at)
			e.Advance(n)
			at += n
			if at < fadeAt && e.Level() != levels[at] {
				t.Fatalf("frame %d in steps: %v, frame by frame: %v", at, e.Level(), levels[at])
			}
		}
	})
}

func TestEnvelopeStages(t *testing.T) {
	var e Envelope
	if !e.Ended() {
		t.Error("an envelope that never began has not ended")
	}
	e.Release()
	e.Fade(10)
	if !e.Ended() || e.Advance(1) != 0 {
		t.Error("an ended envelope comes back")
	}
	e.Begin() // no attack, no release time
	if e.Ended() || e.Released() || e.Advance(1) != 1 {
		t.Error("without attack the level is not 1 after one frame")
	}
	e.Release()
	if !e.Released() || e.Fading() {
		t.Error("a released envelope does not say so")
	}
	e.Fade(1)
	if !e.Released() || !e.Fading() || e.Advance(1) != 0 || !e.Ended() {
		t.Error("a fade of one frame does not end")
	}
}
