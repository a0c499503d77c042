package mapping

import (
	"slices"
	"testing"
)

func TestDifferences(t *testing.T) {
	before, now := defaultGridMap(t), defaultGridMap(t)
	if none := before.Differences(now); len(none) > 0 {
		t.Errorf("two equal maps: %q", none)
	}
	before.HeadroomDB, now.HeadroomDB = 12, 18
	now.Dynamics.Controller = 11
	now.Zones[1].Start = 0.125
	gone := now.Zones[2]
	now.Zones = slices.Delete(now.Zones, 2, 3)
	want := []string{"headroom_db 12 → 18", "dynamics.controller 1 → 11", "rank C, root 36: start 0.75 → 0.125",
		"rank C, root 48 has gone"}
	if got := before.Differences(now); !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	if got := now.Differences(before); !slices.Contains(got, "rank C, root 48 is new") || gone.Root != 48 {
		t.Errorf("the other way round: %q", got)
	}
}
