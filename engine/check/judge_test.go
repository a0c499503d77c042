// How findings are judged, gathered and waived.

package check_test

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"lapstrake/engine/check"
	"lapstrake/mapping"
	"lapstrake/mapping/project"
)

// Limits whose second figure is the smaller one are kept from below: a chord that comes back sooner is worse.
func TestReturnsAreJudgedFromBelow(t *testing.T) {
	for limits, want := range map[[2]float64]check.Verdict{
		{10, 1}: check.Passes, {1e5, 1}: check.Warns, {1e5, 1e5 - 1}: check.Fails,
	} {
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

// A figure is surer the further it is beyond its limit, against its spread; one without spread is certain.
func TestSureness(t *testing.T) {
	for limit, want := range map[float64][2]float64{2.65: {0.5, 0.99}, 0.5: {0.99, 1}} {
		y := soundYard(3)
		y.grid.SeamFadeDB = 0
		for name, frames := range y.beds {
			if name.Root == 60 {
				gain(frames, 4)
			}
		}
		y.settings.Limits.SeamLU = []float64{limit, 40}
		found := findings(y.check(t, "seams"), "seam_lu")
		if len(found) == 0 || found[0].Spread == 0 {
			t.Fatalf("limit %v: %+v", limit, found)
		}
		f := found[0]
		// The normal distribution by its table (Abramowitz & Stegun 1964, 26.2): one standard deviation is 0.8413.
		f.Sure = math.Round(f.Sure*1e4) / 1e4
		if away := (f.Figure - f.Limit) / f.Spread; away < 1 && f.Sure > 0.8413 || away > 1 && f.Sure < 0.8413 {
			t.Errorf("limit %v: %v standard deviations beyond it, sure to %v", limit, away, f.Sure)
		}
		if f.Sure < want[0] || f.Sure > want[1] {
			t.Errorf("limit %v, figure %v: sure to %v, want %v", limit, f.Figure, f.Sure, want)
		}
	}
	y := soundYard(3)
	y.change = func(m *mapping.Map) { m.Polyphony = 40 }
	if f := findings(y.check(t, "budget"), "voices_percent")[0]; f.Sure != 1 {
		t.Errorf("voices are counted, and it is sure to %v", f.Sure)
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
	if len(found) != 1 || len(found[0].Place.Keys) != 24 || !strings.Contains(found[0].Text, "23 more keys") ||
		report.Verdict != check.Fails {
		t.Fatalf("%s with %+v, want one finding that fails on all 24 keys", report.Verdict, found)
	}
	for _, id := range []string{found[0].ID, "mono_loss_db:*"} {
		in.Waivers = []check.Waiver{{ID: "seam_lu:*", Reason: "other"},
			{ID: id, Reason: "it is played in stereo alone"}}
		if report, err = check.Run(context.Background(), in, nil); err != nil {
			t.Fatal(err)
		}
		f := findings(report, "mono_loss_db")[0]
		if f.Waived != "it is played in stereo alone" || report.Verdict != check.Passes {
			t.Errorf("waived by %s: %s, %+v", id, report.Verdict, f)
		}
	}
}

// What did not change is not measured again; what changed is.
func TestOnlyChangedCyclesAreMeasuredAgain(t *testing.T) {
	y := soundYard(4)
	in := y.open(t)
	run := func() *check.Report {
		in := y.opened(t, in.MapPath)
		in.Parts = []string{"seams", "evenness"}
		report, err := check.Run(context.Background(), in, nil)
		if err != nil {
			t.Fatal(err)
		}
		return report
	}
	first := run()
	kept := map[string]time.Time{}
	for path, changed := range keptMeasures(t, in) {
		kept[path] = changed
	}
	if again := run(); !reflect.DeepEqual(first, again) {
		t.Errorf("the second run says %+v, the first %+v", again, first)
	}
	bed := y.names()[0]
	gain(y.beds[bed], 6)
	y.write(t, filepath.Dir(in.MapPath), bed)
	report := run()
	if len(findings(report, "bed_lu")) != 1 {
		t.Errorf("a bed is 6 dB louder now: %+v", findings(report, "bed_lu"))
	}
	fresh := 0
	for path, changed := range keptMeasures(t, in) {
		if !changed.Equal(kept[path]) {
			fresh++
		}
	}
	if fresh != 1 {
		t.Errorf("one bed changed, and %d cycles were measured again", fresh)
	}
}

// keptMeasures lists the files of measures with the times at which they were written.
func keptMeasures(t *testing.T, in check.Input) map[string]time.Time {
	t.Helper()
	folder := filepath.Join(filepath.Dir(in.MapPath), project.CheckedFolder)
	entries, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	kept := map[string]time.Time{}
	for _, entry := range entries {
		info, err := entry.Info()
		if err != nil {
			t.Fatal(err)
		}
		kept[entry.Name()] = info.ModTime()
	}
	return kept
}

// A figure that is better, the same or worse is told so, whichever way it is better.
func TestCompare(t *testing.T) {
	before := soundYard(5).check(t)
	y := soundYard(5)
	y.grid.StaggerBy, y.grid.Starts, y.grid.RanksApartTurns = mapping.ByZone, []float64{0}, 0
	c := check.Compare(before, y.check(t))
	for _, part := range c.Parts {
		if part.Name == "evolution" || part.Name == "dynamics" {
			continue // notes begin at other places, so how they set in and go on differs
		}
		for _, f := range part.Figures {
			want := check.Same
			switch {
			case strings.Contains(f.Name, "that spread"):
				continue // the search begins with the map's own starts
			case part.Name == "starts" && strings.Contains(f.Name, "start to the nearest"):
				want = check.Worsened
			case part.Name == "budget" && f.Name == "memory of the player":
				want = check.Improved // fewer starts
			}
			if f.Change != want {
				t.Errorf("%s, %s: %s from %v to %v, want %s", part.Name, f.Name, f.Change, f.Before, f.Now, want)
			}
		}
		if news := len(part.New); (part.Name == "starts") != (news == 1) || len(part.Gone) > 0 {
			t.Errorf("%s: %d new findings and %d gone, want one new of starts", part.Name, news, len(part.Gone))
		}
	}
}
