// How findings are judged, gathered and waived.

package check_test

import (
	"context"
	"strings"
	"testing"

	"lapstrake/engine/check"
)

// Limits whose second figure is the smaller one are kept from below: a chord that comes back sooner is worse.
func TestReturnsAreJudgedFromBelow(t *testing.T) {
	for limits, want := range map[[2]float64]check.Verdict{{10, 1}: check.Passes, {1e5, 1}: check.Warns, {1e5, 1e5 - 1}: check.Fails} {
		y := soundYard(1)
		y.settings.Limits.ReturnSec = limits[:]
		// Two keys an octave apart turn in lengths of 2 to 1: they are back after one turn of the longer.
		in := y.open(t)
		in.Keys, in.Parts = []int{60, 72}, []string{"returns"}
		report, err := check.Run(context.Background(), in, nil)
		if err != nil {
			t.Fatal(err)
		}
		if report.Verdict != want {
			t.Errorf("limits %v: %s, want %s: %+v", limits, report.Verdict, want, report.Parts[0])
		}
	}
}

// What is found on many keys is one finding, which a waiver lets stand with its reason.
func TestFindingsGatherAndAreWaived(t *testing.T) {
	y := soundYard(2)
	for _, frames := range y.beds {
		for i := 0; i < len(frames); i += 2 {
			frames[i+1] = -frames[i] * 0.8
		}
	}
	in := y.open(t)
	in.Parts = []string{"evenness"}
	report, err := check.Run(context.Background(), in, nil)
	if err != nil {
		t.Fatal(err)
	}
	found := findings(report, "mono_loss_db")
	if len(found) != 1 || len(found[0].Place.Keys) != 24 || !strings.Contains(found[0].Text, "23 more keys") || report.Verdict != check.Fails {
		t.Fatalf("%s with %+v, want one finding that fails on all 24 keys", report.Verdict, found)
	}
	for _, id := range []string{found[0].ID, "mono_loss_db:*"} {
		in.Waivers = []check.Waiver{{ID: "seam_lu:*", Reason: "other"}, {ID: id, Reason: "it is played in stereo alone"}}
		if report, err = check.Run(context.Background(), in, nil); err != nil {
			t.Fatal(err)
		}
		if f := findings(report, "mono_loss_db")[0]; f.Waived != "it is played in stereo alone" || report.Verdict != check.Passes {
			t.Errorf("waived by %s: %s, %+v", id, report.Verdict, f)
		}
	}
}
