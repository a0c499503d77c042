package arrange

import (
	"math"
	"testing"

	"lapstrake/mapping/project"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes/measure"
)

// Copies of a take must not be like one another within the ear's fusion of a few tens of ms, or they comb.
func TestCopiesAreUnlike(t *testing.T) {
	for name, p := range map[string]Part{"noise": hiss(2, 1), "tone": tone(220, 2, 12, 2),
		"long tone": tone(220, 30, 12, 2)} {
		p.Kind = measure.Held
		voices := prolonged(p, 8, 2, 3, false)
		worst := 0.0
		// 40 ms, either way; coarser than a period of what noise has most of
		for lag := 0; lag < testRate/25; lag += 29 {
			worst = max(worst, math.Abs(correlationAt(voices[0].left, voices[1].left, lag)),
				math.Abs(correlationAt(voices[1].left, voices[0].left, lag)))
		}
		t.Logf("%s: %.3f", name, worst)
		if worst > 0.35 {
			t.Errorf("%s: copies are alike by %.2f within 40 ms", name, worst)
		}
	}
}

func TestDoubledNoiseDoesNotComb(t *testing.T) {
	p := hiss(2, 1)
	p.Kind = measure.Held
	voices := prolonged(p, 15, 2, 3, false)
	sum := stem{make([]float32, 15*testRate), make([]float32, 15*testRate)}
	b := newBander(testRate)
	var alone, both [erbBands]float64
	add := func(to *[erbBands]float64, s *stem) {
		bands := b.measure(s, len(s.left))
		for _, row := range bands.Blocks {
			for band, v := range row {
				to[band] += v
			}
		}
	}
	for _, v := range voices {
		mono := stem{v.left, v.left}
		add(&alone, &mono)
		mono.addTo(sum.left, sum.right, 1)
	}
	add(&both, &sum)
	low, high := math.Inf(1), math.Inf(-1)
	for band := 3; band < erbBands; band++ {
		ripple := sound.PowerDB(both[band] / alone[band])
		low, high = min(low, ripple), max(high, ripple)
	}
	t.Logf("ripple %.2f to %+.2f dB", low, high)
	if low < -1.5 || high > 1.5 {
		t.Errorf("the mono sum of two copies ripples by %.2f to %+.2f dB, expected within 1.5", low, high)
	}
}

func TestCopiesAreInTuneAndApart(t *testing.T) {
	s := project.DefaultArrange()
	for copies := 2; copies <= 4; copies++ {
		left, right := 0, 0
		for voice := range copies {
			cents := copyCents(voice, copies, s.DoubleCents)
			if math.Abs(cents) > 2 {
				t.Errorf("copy %d of %d is %.2f cents off, takes are to stay within 2", voice, copies, cents)
			}
			if voice > 0 && cents-copyCents(voice-1, copies, s.DoubleCents) < 1 {
				t.Errorf("copies %d and %d of %d are less than a cent apart", voice-1, voice, copies)
			}
			if place := copyPlace(0.1, voice, copies, s.Width); place < 0 {
				left++
			} else {
				right++
			}
		}
		if left == 0 || right == 0 || left-right > 1 || right-left > 1 {
			t.Errorf("of %d copies %d are left and %d right", copies, left, right)
		}
	}
	// The tuning itself: a sine moved by 3.6 cents has that frequency.
	sine := make([]float32, testRate)
	for i := range sine {
		sine[i] = float32(math.Sin(2 * math.Pi * 1000 * float64(i) / testRate))
	}
	moved := detuned(stem{sine, sine}, 3.6).left
	wantHz := 1000 * math.Exp2(3.6/1200)
	for i := 200; i < len(moved)-200; i++ {
		if want := math.Sin(2 * math.Pi * wantHz * float64(i) / testRate); math.Abs(float64(moved[i])-want) > 1e-3 {
			t.Fatalf("frame %d is %.4f, a sine of %.3f Hz has %.4f", i, moved[i], wantHz, want)
		}
	}
}
