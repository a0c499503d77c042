package mapping

import (
	"slices"
	"testing"
)

// Each change of a map is told with both values, and nothing of two that are alike.
func TestDifferences(t *testing.T) {
	base := func() *Map {
		m := New()
		m.HeadroomDB = 12
		for _, root := range []int{48, 60} {
			m.Zones = append(m.Zones, Zone{Rank: "C", Root: root, Low: root - 11, High: root,
				Beds: map[string][]string{"soft": {"a"}}})
		}
		return m
	}
	for want, change := range map[string]func(*Map){
		"":                                func(*Map) {},
		"headroom 12 → 18 dB":             func(m *Map) { m.HeadroomDB = 18 },
		"overlap 3 → 0.5 s":               func(m *Map) { m.OverlapSec = 0.5 },
		"dynamics controller 1 → 2":       func(m *Map) { m.Dynamics.Controller = 2 },
		"volume controllers [7 11] → [7]": func(m *Map) { m.Volume.Controllers = []int{7} },
		"stagger":                         func(m *Map) { m.Stagger.Starts = []float64{0.1} },
		"1 zone gone":                     func(m *Map) { m.Zones = m.Zones[:1] },
		"starts of 2 zones":               func(m *Map) { m.Zones[0].Start, m.Zones[1].Start = 0.5, 0.25 },
		"beds of 1 zone":                  func(m *Map) { m.Zones[0].Beds = map[string][]string{"soft": {"b"}} },
		"1 zone new":                      func(m *Map) { m.Zones = append(m.Zones, Zone{Rank: "C", Root: 72}) },
		"keys of 1 zone":                  func(m *Map) { m.Zones[0].Low-- },
	} {
		before, now := base(), base()
		before.OverlapSec, now.OverlapSec = 3, 3
		before.Volume.Controllers, now.Volume.Controllers = []int{7, 11}, []int{7, 11}
		change(now)
		var wanted []string
		if want != "" {
			wanted = []string{want}
		}
		if got := Differences(before, now); !slices.Equal(got, wanted) {
			t.Errorf("%q, want %q", got, wanted)
		}
	}
}
