package show_test

import (
	"math"
	"testing"

	"lapstrake/mapping/testsound"
)

// Two beds of 2 s that overlap by 0.25 s make a cycle of 2·(2−0.25) s; each semitone down makes it 2^(1/12) times as
// long (ISO 16:1975 tunes by equal temperament).
func TestChordTellsTheCyclesOfItsKeys(t *testing.T) {
	chord := yardChord(t, yardBedSec, yardBedSec, 60, 53, 72)
	if len(chord.Cycles) != 2 {
		t.Fatalf("%d cycles, want one for each of the two keys that lie in the zone: %+v",
			len(chord.Cycles), chord.Cycles)
	}
	for i, key := range []int{60, 53} {
		cycle := chord.Cycles[i]
		want := 3.5 * math.Exp2(float64(yardRoot-key)/12)
		if cycle.ShiftSemitones != float64(key-yardRoot) {
			t.Errorf("key %d: shifted by %v semitones", key, cycle.ShiftSemitones)
		}
		if cycle.Key != key || cycle.Root != yardRoot || cycle.Layer != "" ||
			!testsound.Within(cycle.CycleSec, want, 1e-6) {
			t.Errorf("key %d: %+v, want root %d and a turn of %.6f s", key, cycle, yardRoot, want)
		}
	}
}

func TestChordTellsLayersApartThatDrift(t *testing.T) {
	chord := yardChord(t, 2, 3, 60)
	if len(chord.Cycles) != 2 || chord.Cycles[0].Layer != "soft" || chord.Cycles[1].Layer != "loud" {
		t.Fatalf("%+v, want a soft and a loud cycle, both named", chord.Cycles)
	}
	// 3.5 s and 5.5 s are both whole after 38.5 s, and within 1 % of a turn a little before.
	first := chord.FirstReturns()[0]
	const fromSec, bestSec = 38.5 - 0.035, 38.5
	if !testsound.Within(first.AfterSec, fromSec, 1e-6) || !testsound.Within(first.NearestSec, bestSec, 1e-6) {
		t.Errorf("first return within 1 %%: %+v, want 38.465 s, nearest at 38.5 s", first)
	}
}

// A single cycle is back after each turn, so the returns within wider bounds begin earlier.
func TestReturnsOfOneCycle(t *testing.T) {
	for _, r := range yardChord(t, yardBedSec, yardBedSec, 60).FirstReturns() {
		if want := 3.5 * (1 - r.WithinTurns); r.Never || !testsound.Within(r.AfterSec, want, 1e-6) {
			t.Errorf("within %v turns: %+v, want after %v s", r.WithinTurns, r, want)
		}
	}
}
