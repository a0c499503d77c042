package credits

import (
	"slices"
	"testing"

	"lapstrake/mapping/beds"
	"lapstrake/mapping/export/testyard"
	"lapstrake/mapping/hearing"
	"lapstrake/mapping/takes"
)

// courseOf is a course of blocks, each at one step in all bands.
func courseOf(steps ...byte) *hearing.Course {
	c := &hearing.Course{}
	for _, step := range steps {
		c.Steps = append(c.Steps, slices.Repeat([]byte{step}, hearing.Bands)...)
	}
	return c
}

// Of a bed that is cut, who sounds only beyond the cut is not credited, and the seconds are those before it. Takes of
// beds about which nothing is kept stay, for no longer than is used.
func TestCreditsOfACutBed(t *testing.T) {
	const silent, soft, loud = 0, 100, 200
	stems := []beds.Stems{{
		Bed: "beds/loud-a-k036.wav", Takes: []beds.TakeInBed{{Path: "old-strake/winch.wav"}, {Path: "ama/mug.wav"},
			{Path: "gone/bell.wav"}},
		Courses: []*hearing.Course{ // of 2 s
			courseOf(loud, loud, loud, loud, soft, soft, soft, soft),
			courseOf(soft, soft, loud, loud, loud, loud, loud, loud),
			courseOf(silent, silent, silent, silent, silent, loud, loud, loud),
		},
	}}
	m := testyard.Map()
	m.OverlapSec = 0.25
	for _, path := range m.BedPaths() {
		if path != stems[0].Bed {
			stems = append(stems, beds.Stems{Bed: path})
		}
	}
	stems[0].Rows = []takes.Row{{Contributor: "old-strake"}, {Contributor: "ama"}, {Contributor: "gone"}}
	heard := []beds.TakeHeard{
		{Path: "old-strake/winch.wav", Beds: []beds.BedHeard{{Bed: "loud-a-k036.wav"},
			{Bed: "loud-b-k048.wav", At: []beds.HeardAt{{Dynamics: 127, Sec: 5.5}}}}}, // nothing is kept of that bed
		{Path: "ama/mug.wav", Beds: []beds.BedHeard{{Bed: "loud-a-k036.wav"}}},
		{Path: "gone/bell.wav", Beds: []beds.BedHeard{{Bed: "loud-a-k036.wav"}}},
	}
	of := func(sec float64) map[string][]float64 {
		kept, err := within(t.TempDir(), m, heard, stems, sec)
		if err != nil {
			t.Fatal(err)
		}
		got := map[string][]float64{}
		for _, take := range join(yardRows(), kept, nil, m).Takes {
			for _, place := range take.Places {
				got[take.Path] = append(got[take.Path], place.HeardSec)
			}
		}
		return got
	}
	// Of the first second, the winch leads in the first half and the mug in the second. The crossfade hides a part of
	// either; keys are played more slowly than the root.
	got := of(1)
	winch, mug := got["old-strake/winch.wav"], got["ama/mug.wav"]
	if len(got) != 2 || len(winch) != 2 || winch[1] != 1 || len(mug) != 1 || !(winch[0] > 0.2 && winch[0] < 1.2) ||
		!(mug[0] > 0.2 && mug[0] < 1.2) {
		t.Errorf("of one second are heard %v", got)
	}
	whole := of(2)
	if len(whole) != 3 || !(whole["ama/mug.wav"][0] > mug[0]) || !(whole["gone/bell.wav"][0] > 0.3) {
		t.Errorf("of the whole bed: %v, of one second: %v", whole, got)
	}
}
