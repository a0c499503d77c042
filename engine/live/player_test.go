// The player: from arriving MIDI to the output.

package live

import (
	"math"
	"runtime"
	"testing"

	"lapstrake/engine"
)

// What is played arrives at the output, faded in, and is metered.
func TestPlayerPlaysWhatArrives(t *testing.T) {
	p := newPlayerRig(t, 1, 8)
	p.input.Push(Now(), engine.KindNoteOn, 64, 127)
	out := make([]float32, 2*64)
	heard := 0.0
	for range 5 * testRateHz / 64 {
		p.render(out)
		heard = 0
		for _, x := range out {
			heard = max(heard, math.Abs(float64(x)))
		}
	}
	if heard == 0 {
		t.Error("nothing is heard")
	}
	f := p.Figures()
	if f.Voices != 1 || f.Events != 1 || math.Abs(f.Seconds-5) > 0.01 {
		t.Errorf("found %d voices, %d events, %.2f s; expected 1, 1 and 5", f.Voices, f.Events, f.Seconds)
	}
	// One bed alone peaks at 0.5/8; where two cross at equal power their peaks meet 3 dB higher.
	if alone := 20 * math.Log10(0.5/8); f.PeakDBFS < alone-0.1 || f.PeakDBFS > alone+3.1 {
		t.Errorf("the peak is %.2f dBFS, expected %.2f to %.2f", f.PeakDBFS, alone, alone+3)
	}
	if again := p.Figures().PeakDBFS; again != -120 {
		t.Errorf("the peak since the last look is %v dBFS, expected -120", again)
	}
}

// Reloading under held notes, with the garbage collector at work, leaves no trace in the sound.
func TestReloadsUnderLoadAreNotHeard(t *testing.T) {
	p := newPlayerRig(t, 8, 256)
	for key := range byte(32) {
		p.input.Push(Now(), engine.KindNoteOn, 45+key, 127)
	}
	out := make([]float32, 2*64)
	var last, before float64
	largest := 0.0
	sec := 20
	if testing.Short() {
		sec = 4
	}
	for block := range sec * testRateHz / 64 {
		if block%(sec*testRateHz/64/10) == sec {
			p.m.ReleaseSec = 0.1 + float64(block)/1e6
			save(t, p.m, p.path)
			if err := p.engine.Reload(p.path); err != nil {
				t.Fatal(err)
			}
		}
		if block%75 == 0 {
			runtime.GC()
		}
		p.render(out)
		for i := 0; i < len(out); i += 2 {
			x := float64(out[i])
			largest = max(largest, math.Abs(x-2*last+before))
			before, last = last, x
		}
	}
	if f := p.Figures(); f.Voices != 256 || f.Misses != 0 {
		t.Errorf("%d voices, %d late reads; expected 256 and none", f.Voices, f.Misses)
	}
	// Bed b at 300 Hz, played a fourth up at most: its own second difference, 256 times at 1/256.
	highest := 300 * math.Exp2(12.0/12)
	limit := 0.5 * math.Pow(2*math.Pi*highest/testRateHz, 2)
	if largest > 1.5*limit {
		t.Errorf("the largest second difference is %.2g, expected at most that of the tones, %.2g", largest, limit)
	}
}
