package show_test

import (
	"testing"

	"lapstrake/mapping/testsound"
)

// The beds of the yard sound on one side each: while a lane says that a bed leads, its side is the louder one.
func TestLanesSayWhichBedIsHeard(t *testing.T) {
	const heldSec = 12
	for _, key := range []int{60, 51} {
		chord, sound := play(t, heldSec, key)
		leads := chord.Lanes(heldSec)[0].Leads
		if len(leads) < 4 {
			t.Fatalf("key %d: %d leads in %d s, want several", key, len(leads), heldSec)
		}
		untilSec := 0.0
		for _, lead := range leads {
			if lead.FromSec != untilSec || lead.ToSec <= lead.FromSec {
				t.Fatalf("key %d: %+v does not follow on %v s", key, lead, untilSec)
			}
			untilSec = lead.ToSec
			for percent := 5; percent < 100; percent += 10 {
				from := 2 * int((lead.FromSec+float64(percent)/100*(lead.ToSec-lead.FromSec))*yardRateHz)
				left, right := sides(sound[from : from+2*yardRateHz/50])
				if louder := map[bool]int{true: 0, false: 1}[left > right]; louder != lead.Strand {
					t.Errorf("key %d: %+v: %d %% into it the sides have %.4f and %.4f", key, lead,
						percent, left, right)
				}
			}
		}
		if untilSec != heldSec {
			t.Errorf("key %d: the lane ends at %v s, want %d", key, untilSec, heldSec)
		}
	}
}

// sides returns the RMS of left and right.
func sides(frames []float32) (left, right float64) {
	channels := [2][]float32{}
	for i, sample := range frames {
		channels[i%2] = append(channels[i%2], sample)
	}
	return testsound.RMS(channels[0]), testsound.RMS(channels[1])
}
