// What is alone and what is silent, told by a tone for each cycle.

package engine

import (
	"math"
	"math/cmplx"
	"slices"
	"testing"

	"lapstrake/mapping/testsound"
)

// tones are those of fourTones: of zone 0's layers, then of zone 1's. 0.9 s hold whole periods of each.
var tones = []float64{440, 550, 700, 900}

// fourTones sounds all of them on key 69, from two zones of two ranks, in two layers each.
func fourTones(t testing.TB) *project {
	p := newProject(t)
	for i, names := range [][]string{{"a.wav", "b.wav"}, {"c.wav", "d.wav"}} {
		for k, name := range names {
			p.bed(name, sineOf(testRateHz, tones[2*i+k], 0, 0.05))
		}
		p.zone([]string{"first", "second"}[i], 69, 0, names...)
	}
	p.Dynamics.Initial = 64
	return p
}

// toneLevels measures every tone in the left channel, in dBFS.
func toneLevels(x []float64, hz ...float64) (levelsDB []float64) {
	for _, tone := range hz {
		levelsDB = append(levelsDB, 20*math.Log10(cmplx.Abs(testsound.Partial(x, testRateHz, tone, 0))))
	}
	return levelsDB
}

// A choice takes out the tones of what it leaves out within 30 ms, the others stay as loud as they were, nothing
// clicks, and all come back.
func TestAloneAndSilent(t *testing.T) {
	type choice struct {
		of     Facet
		member int
		alone  bool
	}
	for name, test := range map[string]struct {
		choices []choice
		sound   []bool
	}{
		"a layer alone":  {[]choice{{FacetLayer, 1, true}}, []bool{false, true, false, true}},
		"a layer silent": {[]choice{{FacetLayer, 1, false}}, []bool{true, false, true, false}},
		"a rank alone":   {[]choice{{FacetRank, 1, true}}, []bool{false, false, true, true}},
		"a zone silent":  {[]choice{{FacetZone, 0, false}}, []bool{false, false, true, true}},
		"a layer of a rank": {[]choice{{FacetLayer, 0, true}, {FacetRank, 0, true}},
			[]bool{true, false, false, false}},
		"two alone": {[]choice{{FacetZone, 0, true}, {FacetZone, 1, true}},
			[]bool{true, true, true, true}},
		"alone and silent is silent": {[]choice{{FacetZone, 0, true}, {FacetZone, 0, false}},
			[]bool{false, false, false, false}},
		"one that the map does not have": {[]choice{{FacetZone, MostOfFacet, true}, {FacetZone, -1, false}},
			[]bool{true, true, true, true}},
	} {
		t.Run(name, func(t *testing.T) {
			p := fourTones(t)
			e := player{p.open(Settings{}), NewList([]Event{NoteOn(0, 0, 69, 127)})}
			out := e.next(seconds(0.3))
			before := toneLevels(leftOf(out, 0.2, 0.1), tones...)
			for _, c := range test.choices {
				if c.alone {
					e.SetAlone(c.of, c.member, true)
				} else {
					e.SetSilent(c.of, c.member, true)
				}
			}
			out = append(out, e.next(seconds(0.2))...)
			during := toneLevels(leftOf(out, 0.34, 0.1), tones...)
			e.SoundAll()
			out = append(out, e.next(seconds(0.2))...)
			after := toneLevels(leftOf(out, 0.54, 0.1), tones...)
			for i, sounds := range test.sound {
				switch {
				case sounds && math.Abs(during[i]-before[i]) > 0.01:
					t.Errorf("%v Hz: %.2f dBFS before, %.2f while it sounds", tones[i], before[i], during[i])
				case !sounds && during[i] > -110:
					t.Errorf("%v Hz: %.1f dBFS, expected silence", tones[i], during[i])
				}
				requireNear(t, "dBFS when all sound again", after[i], before[i], 0.01)
			}
			// Four tones of 0.05 in full swing differ by less than this; a cut of one of them by more.
			if _, second := largestSteps(out); second > 0.003 {
				t.Errorf("the sound jumps: second difference %.5f", second)
			}
		})
	}
}

// A strand alone goes down where the cycle is on other beds and is as loud as ever on its own.
func TestStrandAlone(t *testing.T) {
	for strand, hz := range []float64{440, 660} {
		p := twoBeds(t, 0.2)
		p.Zones[0].Start = 0
		events := []Event{NoteOn(0, 0, 69, 127)}
		all, alone := player{p.open(Settings{}), NewList(slices.Clone(events))},
			player{p.open(Settings{}), NewList(events)}
		alone.SetAlone(FacetStrand, strand, true)
		// a turn is 1.8 s: 0.8 s of a bed, and 0.1 s of a join
		whole, picked := all.next(seconds(3.6)), alone.next(seconds(3.6))
		for turn := range 2 {
			for bed := range 2 {
				fromSec := 1.8*float64(turn) + 0.9*float64(bed) + 0.1
				want := toneLevels(leftOf(whole, fromSec, 0.6), hz)[0]
				got := toneLevels(leftOf(picked, fromSec, 0.6), hz)[0]
				loudest := 0.0
				for _, x := range leftOf(picked, fromSec, 0.6) {
					loudest = max(loudest, math.Abs(x))
				}
				if bed == strand {
					requireNear(t, "dBFS of the strand alone", got, want, 0.01)
				} else if loudest > 1e-6 {
					t.Errorf("strand %d alone: a peak of %.2g on the other's bed", strand, loudest)
				}
			}
		}
		if _, second := largestSteps(picked); second > 0.2*math.Pow(2*math.Pi*660/testRateHz, 2)*1.1 {
			t.Errorf("strand %d alone: the sound jumps: second difference %.4f", strand, second)
		}
	}
}

// A note that begins on what is silent has no onset that is heard.
func TestSilentFromTheStart(t *testing.T) {
	p := sineProject(t, 0.2)
	e := player{p.open(Settings{}), NewList([]Event{NoteOn(0, 0, 69, 127)})}
	e.SetSilent(FacetRank, 0, true)
	for i, x := range e.next(seconds(0.2)) {
		if x != 0 {
			t.Fatalf("sample %d is %g", i, x)
		}
	}
	if !e.Silent(FacetRank, 0) || e.Alone(FacetRank, 0) {
		t.Error("the choice is not told")
	}
}

func TestAloneAllocatesNothing(t *testing.T) {
	p := twoBeds(t, 0.2)
	e := player{p.open(Settings{}), NewList([]Event{NoteOn(0, 0, 64, 127), NoteOn(0, 0, 69, 127)})}
	e.next(seconds(2)) // the joins are measured by now
	out, on := make([]float32, 2*CellFrames), false
	if allocs := testing.AllocsPerRun(20, func() {
		on = !on
		e.SetAlone(FacetStrand, 0, on)
		e.SetSilent(FacetZone, 0, !on)
		for range 40 {
			e.Fill()
			e.Render(out, e.list)
		}
	}); allocs != 0 {
		t.Errorf("%v allocations a change, expected none", allocs)
	}
}
