package export

import (
	"encoding/json"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"lapstrake/mapping"
	"lapstrake/mapping/beds"
	"lapstrake/mapping/hearing"
	"lapstrake/mapping/takes"
)

// toldPage is what the page of a job is told.
func toldPage(t *testing.T, j *Job) (told pageTellings) {
	t.Helper()
	files, err := j.pageTexts()
	if err != nil {
		t.Fatal(err)
	}
	text := strings.TrimSuffix(strings.TrimPrefix(string(files[pageTold]), "window.lapstrake = { told: "), " };\n")
	var inner string
	if err := json.Unmarshal([]byte(text), &inner); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal([]byte(inner), &told); err != nil {
		t.Fatal(err)
	}
	return told
}

// By whatever the map staggers, the page has each cycle once, and each key and press begins where the player has it.
func TestPageBeginsNotesAsTheMapDoes(t *testing.T) {
	for _, by := range []mapping.By{mapping.ByZone, mapping.ByKey, mapping.ByPress} {
		j := yard(t, func(j *Job) {
			j.Parts = Parts{Page}
			if j.Map.Stagger.By = by; by != mapping.ByZone {
				j.Map.Stagger.Starts = []float64{0, 0.5, 0.25}
			}
		})
		told := toldPage(t, j)
		items, err := j.pageItems()
		if err != nil {
			t.Fatal(err)
		}
		if want := len(j.Map.Zones) * len(j.Map.Layers); len(items) != want {
			t.Errorf("by %s: %d sounds, want %d", by, len(items), want)
		}
		for key := mapping.LowestKey; key <= mapping.HighestKey; key++ {
			for press := range int64(7) {
				found := 0
				for i, row := range told.KeyMap.Files {
					if key < row.Low || key > row.High || int(press)%row.PressOf+1 != row.Press {
						continue
					}
					found++
					z := &j.Map.Zones[told.RowZones[i]]
					want := j.Cycles(told.RowZones[i], 0).StartFrame(j.Map.Start(z, key, press))
					if row.BeginFrame != want || z.Root != row.Root || z.Rank != row.Rank {
						t.Errorf("by %s: key %d, press %d begins zone %s %d at frame %d, want %d", by, key, press, row.Rank,
							row.Root, row.BeginFrame, want)
					}
				}
				if want := len(j.Map.ZonesAt(key)) * len(j.Map.Layers); found != want {
					t.Fatalf("by %s: key %d, press %d sounds %d cycles, want %d", by, key, press, found, want)
				}
			}
		}
	}
}

// The page fetches nothing from elsewhere: no file that it consists of names an address but that of SVG.
func TestPageNamesNoAddress(t *testing.T) {
	out, _ := written(t, yard(t, func(j *Job) { j.Parts = Parts{Page} }))
	dir := filepath.Join(out, pageFolder)
	err := fs.WalkDir(os.DirFS(dir), ".", func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		data, err := os.ReadFile(filepath.Join(dir, name))
		text := strings.ReplaceAll(string(data), "http://www.w3.org/2000/svg", "")
		if strings.Contains(text, "http:") || strings.Contains(text, "https:") || strings.Contains(text, "//cdn") {
			t.Errorf("%s names an address", name)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

// Two takes that were written are named where they are, and their courses stand where the page is told.
func TestPageTellsWhoIsInWhichBed(t *testing.T) {
	j := yard(t, func(j *Job) { j.Parts = Parts{Page} })
	var loud hearing.Excitation
	loud[20] = 1
	courses := []*hearing.Course{{}, {}}
	courses[0].Add(&hearing.Excitation{})
	for range 3 {
		courses[1].Add(&loud)
	}
	j.Stems = []beds.Stems{{Bed: "beds/none.wav"}, {Bed: "beds/two.wav", Courses: courses,
		Takes: []beds.TakeInBed{{Path: "takes/a.wav"}, {Path: "takes/b.wav"}}, Rows: []takes.Row{{Contributor: "Ann"}, {Contributor: "Bo"}}}}
	told, steps := j.tellHeard()
	if told == nil || len(told.Beds) != 1 || len(told.Beds[0].Takes) != 2 {
		t.Fatalf("told %+v, want one bed of two takes", told)
	}
	bed := told.Beds[0]
	if bed.Takes[1].Who != "Bo" || bed.Blocks[0] != 1 || bed.Blocks[1] != 3 || len(steps) != 4*hearing.Bands {
		t.Errorf("told %+v and %d bytes, want Bo with three blocks after one", bed, len(steps))
	}
	if steps[bed.From+hearing.Bands+20] == 0 || steps[bed.From+20] != 0 {
		t.Error("the course of Bo does not begin after that of Ann")
	}
}

// A page fits into its budget, says what it gave up, and a budget that none fits into is refused.
func TestPageFitsItsBudget(t *testing.T) {
	j := yard(t, func(j *Job) { j.Parts = Parts{Page} })
	open := func(rateHz int, share float64) (Cycles, error) {
		return yardCycles(j.Map.RateHz, int64(share*yardFrames)), nil
	}
	whole, _ := written(t, j)
	texts, err := j.pageTextBytes()
	if err != nil {
		t.Fatal(err)
	}
	sounds := float64(pageSize(t, whole) - texts)
	for _, part := range []float64{0.9, 0.5, 0.05} {
		budget := texts + int64(part*sounds)
		v, err := j.FitPage(budget, open)
		if err != nil {
			t.Fatal(err)
		}
		with := *j
		with.Page = v
		out, _ := written(t, &with)
		if got := pageSize(t, out); got > budget || float64(got-texts) < 0.6*part*sounds {
			t.Errorf("a page of %d bytes for a budget of %d", got, budget)
		}
		one := func(line string) bool { return strings.HasPrefix(line, "one channel") }
		if mono := slices.ContainsFunc(v.GaveUp, one); mono != (part < 0.1) { // at last
			t.Errorf("a budget of %.2f gave up %q", part, v.GaveUp)
		}
		if told := toldPage(t, &with); len(told.Made) == 0 {
			t.Error("the page does not say what it gave up")
		}
	}
	if _, err := j.FitPage(1000, open); err == nil || !strings.Contains(err.Error(), "smallest page") {
		t.Errorf("a budget of 1 kB: %v", err)
	}
}

// pageSize is how large the page of an export is.
func pageSize(t *testing.T, out string) (bytes int64) {
	t.Helper()
	for name, data := range contents(t, out) {
		if strings.HasPrefix(name, pageFolder+"/") {
			bytes += int64(len(data))
		}
	}
	return bytes
}
