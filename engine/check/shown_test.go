// What is kept to be shown.

package check_test

import (
	"context"
	"os"
	"path/filepath"
	"testing"
	"time"

	"lapstrake/engine/check"
	"lapstrake/mapping/sound"
)

// What a run leaves to be shown tells how each finding sounds that has a sound in the report, and which of its
// files are not any more what they were: by their content, whatever their times say.
func TestShown(t *testing.T) {
	in := faultyYard(31).open(t)
	report, dir := run(t, in), filepath.Dir(in.MapPath)
	check.KeepReport(dir, report)
	again, shown, err := check.LastShown(dir)
	if err != nil {
		t.Fatal(err)
	}
	if again.Verdict != report.Verdict || len(again.Parts) != len(report.Parts) {
		t.Errorf("%d parts that say %s, want %d and %s", len(again.Parts), again.Verdict,
			len(report.Parts), report.Verdict)
	}
	for name, drawings := range map[string]int{"seams": 3, "evenness": 2, "joins": 1} {
		if got := len(shown.Drawings[name]); got < drawings {
			t.Errorf("%s: %d drawings, want %d", name, got, drawings)
		}
	}
	pairs := 0
	for _, part := range again.Parts {
		for _, f := range part.Findings {
			scenes := shown.Sounds[f.ID].Scenes
			if (len(scenes) == 0) != (part.Name == "budget") {
				t.Errorf("%s: %d scenes", f.ID, len(scenes))
			}
			if f.What == "seam_lu" && pairs == 0 {
				pairs++
				if len(scenes) != 2 || scenes[0].Keys[0] != f.Place.Keys[0] || scenes[1].Keys[0] != f.Place.Keys[1] ||
					scenes[0].Dynamics != *f.Place.Dynamics || !scenes[0].FromKeys() {
					t.Errorf("%s is heard as %+v", f.ID, scenes)
				}
				frames, err := check.Sound(context.Background(), in, scenes)
				if peakDB := sound.AmplitudeDB(sound.TruePeak(frames)); err != nil || peakDB < -60 || peakDB > -1+0.1 {
					t.Errorf("%s: %d samples, peak %.1f dBTP, %v", f.ID, len(frames), peakDB, err)
				}
			}
		}
	}
	if pairs == 0 {
		t.Error("no step at a seam among the findings")
	}

	changed := func(want ...string) {
		t.Helper()
		got, err := shown.Of.Changed(dir)
		if err != nil || len(got) != len(want) || len(got) == 1 && got[0] != want[0] {
			t.Errorf("changed: %q, %v; want %q", got, err, want)
		}
	}
	changed()
	bed := in.Cycles.Map.BedPaths()[0]
	file := filepath.Join(dir, filepath.FromSlash(bed))
	if err := os.Chtimes(file, time.Now(), time.Now().Add(time.Hour)); err != nil {
		t.Fatal(err)
	}
	changed()
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	data[len(data)-1] ^= 1
	if err := os.WriteFile(file, data, 0o666); err != nil {
		t.Fatal(err)
	}
	changed(bed)

	// What is waived since then does not count.
	if err := check.AddWaiver(dir, check.Waiver{ID: "*", Reason: "heard, and liked"}); err != nil {
		t.Fatal(err)
	}
	if again, _, err = check.LastShown(dir); err != nil || again.Verdict != check.Passes {
		t.Errorf("all is waived, and the report %s, %v", again.Verdict, err)
	}
}
