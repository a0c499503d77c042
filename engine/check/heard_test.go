// Who is heard: takes and contributors buried on purpose are found, with how far, and nobody else.

package check_test

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"lapstrake/engine/check"
	"lapstrake/mapping"
	"lapstrake/mapping/beds"
	"lapstrake/mapping/hearing"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes/decode"
)

// takesYard is a project whose beds are made of known takes. Of the beds' sound only that they differ matters: who is
// heard is told by what their takes excite.
type takesYard struct {
	*yard
	stems map[mapping.BedName][]stem
}

// stem is one take in a bed: its level against the others in each block, and the bands that it has.
type stem struct {
	take     string
	levelsDB []float64
	from, to int
	tuned    bool // to its bed's root
}

const stemsOfABed = 4

// newTakesYard makes beds of four takes, each in a register of its own: those of one root and strand are the same in
// both layers, and each root has contributors of its own.
func newTakesYard(seed uint64) takesYard {
	y := takesYard{&yard{grid: yardGrid(), settings: project.Default(), beds: map[mapping.BedName][]float32{}},
		map[mapping.BedName][]stem{}}
	y.settings.Project.RateHz = yardRateHz
	random := rand.New(rand.NewPCG(seed, 14))
	for _, root := range y.grid.Roots() {
		for _, strand := range []string{"a", "b"} {
			for _, layer := range []string{"soft", "loud"} {
				name := mapping.BedName{Layer: layer, Strand: strand, Root: root}
				frames := make([]float32, 2*yardBedSec*yardRateHz)
				for i := range 100 {
					frames[i] = random.Float32()
				}
				y.beds[name] = frames
				for i := range stemsOfABed {
					s := stem{take: fmt.Sprintf("anna%d/%s%d.wav", root, strand, i), from: 8 + 10*i, to: 18 + 10*i}
					for range 4 * yardBedSec {
						s.levelsDB = append(s.levelsDB, -30+4*random.Float64())
					}
					y.stems[name] = append(y.stems[name], s)
				}
			}
		}
	}
	return y
}

// course is what the stem excites.
func (s stem) course() *hearing.Course {
	c := &hearing.Course{Steps: make([]byte, len(s.levelsDB)*hearing.Bands)}
	for block, levelDB := range s.levelsDB {
		for band := s.from; band < s.to; band++ {
			c.Steps[block*hearing.Bands+band] = byte(math.Round(2 * (levelDB + 120.5)))
		}
	}
	return c
}

// lower takes so many dB off a stem.
func (s stem) lower(byDB float64) {
	for block := range s.levelsDB {
		s.levelsDB[block] -= byDB
	}
}

// check opens the project with what a build would have noted, and checks who is heard. change may spoil it before.
func (y takesYard) check(t *testing.T, change func(dir string)) *check.Report {
	t.Helper()
	in := y.open(t)
	dir := filepath.Dir(in.MapPath)
	if err := os.Mkdir(filepath.Join(dir, project.BedsFolder), 0o777); err != nil {
		t.Fatal(err)
	}
	record := map[string]any{}
	sheet := "take,contributor\n"
	for _, name := range y.names() {
		bed := filepath.Join(dir, name.String())
		hash, err := decode.Hash(bed)
		if err != nil {
			t.Fatal(err)
		}
		info, err := os.Stat(bed)
		if err != nil {
			t.Fatal(err)
		}
		var held []beds.TakeInBed
		var courses []*hearing.Course
		for _, s := range y.stems[name] {
			in := beds.TakeInBed{Path: s.take, Hash: s.take}
			if s.tuned {
				in.Move = new(float64)
			}
			held, courses = append(held, in), append(courses, s.course())
			if row := s.take + "," + filepath.Dir(s.take) + "\n"; !strings.Contains(sheet, row) {
				sheet += row
			}
		}
		record[name.String()] = map[string]any{
			"bed": name.String(), "size_bytes": info.Size(), "sha256": hash, "takes": held,
		}
		kept := filepath.Join(dir, project.BedsFolder, name.String())
		if err := beds.KeepCourses(kept, hash, held, courses); err != nil {
			t.Fatal(err)
		}
	}
	text, err := json.Marshal(map[string]any{"beds": record})
	if err != nil {
		t.Fatal(err)
	}
	for path, data := range map[string]string{
		filepath.Join(project.BedsFolder, project.BuiltFile): string(text), project.SheetFile: sheet,
	} {
		if err := os.WriteFile(filepath.Join(dir, path), []byte(data), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	if change != nil {
		change(dir)
	}
	in.Parts = []string{"heard"}
	report, err := check.Run(context.Background(), in, nil)
	if err != nil {
		t.Fatal(err)
	}
	return report
}

var lacks = regexp.MustCompile(`lacks (\d+) dB`)

// A take 20 dB below the others of its bed: found with its bed and with what it lacks. In its own bands the other
// rank has a take of about its former level, which excites 1.4 dB more by its skirts, and a take is heard 6 dB below
// that: it lacks 15.4 dB, give or take the levels' sway and what the neighbours' skirts add.
func TestBuriedTakesAreFound(t *testing.T) {
	for seed := range uint64(seeds) {
		y := newTakesYard(seed)
		if f := y.check(t, nil).Parts[0].Findings; len(f) > 0 {
			t.Errorf("map %d, where everybody is heard: %s: %s", seed, f[0].ID, f[0].Text)
		}
		random := rand.New(rand.NewPCG(seed, 15))
		bed := y.names()[random.IntN(len(y.beds))]
		buried := y.stems[bed][1+random.IntN(2)] // in the middle: at the edges the other rank leaves bands free
		buried.lower(20)
		found := y.check(t, nil).Parts[0].Findings
		if len(found) != 1 || found[0].What != "heard_sec" || found[0].Place.Take != buried.take ||
			found[0].Place.Bed != bed.String() || found[0].Figure > 0.1 {
			t.Errorf("map %d, %s buried in %s: found %+v", seed, buried.take, bed, found)
			continue
		}
		lack := lacks.FindStringSubmatch(found[0].Text)
		if lack == nil {
			t.Errorf("map %d: %q does not tell what it lacks", seed, found[0].Text)
			continue
		}
		if got, _ := strconv.Atoi(lack[1]); math.Abs(float64(got)-15.4) > 3.5 {
			t.Errorf("map %d, %s buried in %s: lacks %d dB, want 15.4: %s", seed, buried.take, bed, got, found[0].Text)
		}
		if !strings.Contains(found[0].Text, filepath.Dir(buried.take)) {
			t.Errorf("map %d: %q does not tell whose take it is", seed, found[0].Text)
		}
	}
}

// A contributor whose takes are buried everywhere is found, once.
func TestContributorsWhoAreNotHeardAreFound(t *testing.T) {
	for seed := range uint64(5) {
		y := newTakesYard(seed)
		root := y.grid.Roots()[int(seed)%len(y.grid.Roots())]
		for name, stems := range y.stems {
			for _, s := range stems {
				if name.Root == root {
					s.lower(70)
				}
			}
		}
		found := findings(y.check(t, nil), "contributor_sec")
		if len(found) != 1 || found[0].Place.Contributor != fmt.Sprintf("anna%d", root) {
			t.Errorf("map %d: anna%d is heard nowhere; found %+v", seed, root, found)
		}
	}
}

// A loud take that reaches up into another's bands is named, and so is the cure that was tried: without the upper
// partials of the one, the other is heard.
func TestWhoLiesOverATake(t *testing.T) {
	y := newTakesYard(1)
	bed := mapping.BedName{Layer: "loud", Strand: "a", Root: 72} // of 523 Hz: four partials reach up to band 43
	stems := y.stems[bed]
	loud, above := &stems[1], stems[3]
	loud.lower(-15)
	loud.to, loud.tuned = 48, true
	above.from, above.to = 44, 48
	stems[3] = above
	stems[2].lower(-20)
	found := findings(y.check(t, nil), "heard_sec")
	at := slices.IndexFunc(found, func(f check.Finding) bool { return f.Place.Take == above.take })
	if at < 0 || !strings.Contains(found[at].Text, loud.take+" lies over it from") ||
		!strings.Contains(found[at].Cure, "keep_partials: 4 for "+loud.take) {
		t.Errorf("%s lies over %s: found %+v", loud.take, above.take, found)
	}
}

// Beds that a build made without keeping what their takes excite are told, with the cure, and the others are still
// judged; of beds that no build made there is nothing to tell.
func TestBedsOfEarlierVersions(t *testing.T) {
	y := newTakesYard(2)
	gone := y.names()[3]
	part := y.check(t, func(dir string) {
		kept := filepath.Join(dir, project.BedsFolder,
			"."+strings.TrimSuffix(gone.String(), ".wav")+beds.CoursesSuffix)
		if err := os.Remove(kept); err != nil {
			t.Fatal(err)
		}
	}).Parts[0]
	if f := part.Findings; len(f) != 1 || f[0].What != "heard_unknown_beds" || f[0].Figure != 1 ||
		!strings.Contains(f[0].Cure, "lapstrake build") {
		t.Errorf("one bed without: found %+v", part.Findings)
	}
	placements := slices.IndexFunc(part.Figures, func(f check.Figure) bool { return f.Name == "placements of takes" })
	if want := float64(stemsOfABed * (len(y.beds) - 1)); placements < 0 || part.Figures[placements].Value != want {
		t.Errorf("figures %+v, want %v placements", part.Figures, want)
	}
	if part := soundYard(2).check(t, "heard").Parts[0]; len(part.Figures) > 0 || part.Verdict != check.Passes {
		t.Errorf("beds that no build made: %+v", part)
	}
}
