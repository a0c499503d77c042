package credits

import (
	"math"
	"slices"
	"testing"

	"lapstrake/mapping/beds"
	"lapstrake/mapping/export/testyard"
	"lapstrake/mapping/hearing"
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
	heard := []beds.TakeHeard{
		{Path: "old-strake/winch.wav", Beds: []beds.BedHeard{{Bed: "loud-a-k036.wav"}, {Bed: "loud-b-k048.wav"}}},
		{Path: "ama/mug.wav", Beds: []beds.BedHeard{{Bed: "loud-a-k036.wav"}}},
		{Path: "gone/bell.wav", Beds: []beds.BedHeard{{Bed: "loud-a-k036.wav"}}},
	}
	for i, sec := range []float64{1, 1.5, 0.75} {
		heard[i].Beds[0].AudibleSec = sec
	}
	heard[0].Beds[1].AudibleSec = 5.5 // nothing is kept of that bed
	c := join(yardRows(), within(heard, stems, 1), nil, testyard.Map())
	got := map[string][]float64{}
	for _, take := range c.Takes {
		for _, place := range take.Places {
			got[take.Path] = append(got[take.Path], place.AudibleSec)
		}
	}
	want := map[string][]float64{"old-strake/winch.wav": {1, 1}, "ama/mug.wav": {0.5}}
	if len(got) != len(want) {
		t.Errorf("credited are %v, want %v", got, want)
	}
	for path, secs := range want {
		if !slices.EqualFunc(got[path], secs, func(a, b float64) bool { return math.Abs(a-b) < 1e-9 }) {
			t.Errorf("%s is heard for %v s, want %v", path, got[path], secs)
		}
	}
	whole := within(heard, stems, 2)
	if len(whole) != 3 || whole[1].Beds[0].AudibleSec != 1.5 || whole[2].Beds[0].AudibleSec != 0.75 {
		t.Errorf("of the whole bed: %+v", whole)
	}
}
