// Sound maps of real recordings: what is found fault with on them is false.

package check_test

import (
	"context"
	"flag"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"lapstrake/engine/check"
	"lapstrake/engine/stream"
	"lapstrake/mapping"
	"lapstrake/mapping/beds"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
	"lapstrake/mapping/testsound"
)

var (
	recordedMaps   = flag.Int("maps", 8, "random maps of recordings to check")
	recordedFolder = flag.String("recordings", testsound.Recordings(), "the recordings that they are made of")
)

// soundParts are the checks that have nothing to find in a map into which nothing was planted. The others judge the
// choice of takes, which is random here, or need beds of minutes.
var soundParts = []string{"returns", "starts", "seams", "joins", "clicks", "splices", "dynamics", "budget"}

// byChance are findings that are true of takes that were drawn by chance.
var byChance = []string{"dynamics_darker_erb", "attack_slower_times"}

// mostFalse is the part of the maps on which something may fail.
const mostFalse = 0.05

// A false finding is a failure on a map that a build made of random recordings, with settings drawn from those that
// keep a map sound and nothing planted: two ranks or three, so that no key is at a seam of all, and every take in both
// layers. That loud is darker than soft, or sets in later, is no false finding: in beds so short it is chance which
// takes lead, and so it is.
func TestMapsOfRecordingsPass(t *testing.T) {
	all := newRecordedYard(t)
	failed, counts := 0, map[string]int{}
	for seed := range uint64(*recordedMaps) {
		in := all.build(t, seed)
		in.Parts = soundParts
		report, err := check.Run(context.Background(), in, nil)
		if err != nil {
			t.Fatal(err)
		}
		in.Cycles.Close()
		fails, seen := false, map[string]bool{}
		for _, part := range report.Parts {
			for _, f := range part.Findings {
				t.Logf("map %d: %s %s, %.2f %s: %s", seed, f.Verdict, f.ID, f.Figure, f.Unit, f.Text)
				if verdict := string(f.Verdict) + f.What; !slices.Contains(byChance, f.What) && !seen[verdict] {
					seen[verdict] = true
					counts[string(f.Verdict)+" "+f.What]++
					fails = fails || f.Verdict == check.Fails
				}
			}
		}
		if fails {
			failed++
		}
	}
	t.Logf("of %d maps, %d fail; maps by finding: %v", *recordedMaps, failed, counts)
	if float64(failed) > mostFalse*float64(*recordedMaps) {
		t.Errorf("%d of %d sound maps fail; maps by finding: %v", failed, *recordedMaps, counts)
	}
}

// recordedYard is all recordings, measured once.
type recordedYard struct {
	dir   string
	paths []string // of takes that can be used
}

func newRecordedYard(t testing.TB) *recordedYard {
	t.Helper()
	y := &recordedYard{dir: t.TempDir()}
	if err := os.CopyFS(filepath.Join(y.dir, project.TakesFolder), os.DirFS(*recordedFolder)); err != nil {
		t.Fatal(err)
	}
	report, err := takes.Intake(context.Background(), y.dir, takes.IntakeOptions{})
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range report.Sheet.Rows {
		if row.Usable() {
			y.paths = append(y.paths, row.Path)
		}
	}
	return y
}

// build makes a map of some of the recordings, with settings drawn from those that keep it sound.
func (y *recordedYard) build(t testing.TB, seed uint64) check.Input {
	t.Helper()
	random := rand.New(rand.NewPCG(seed, 21))
	dir := t.TempDir()
	s := drawSettings(random, seed)
	chosen := slices.Clone(y.paths)
	random.Shuffle(len(chosen), func(i, j int) { chosen[i], chosen[j] = chosen[j], chosen[i] })
	chosen = chosen[:4+random.IntN(8)]
	if err := y.writeProject(dir, chosen, &s); err != nil {
		t.Fatal(err)
	}
	if _, err := beds.Build(context.Background(), dir, beds.BuildOptions{}); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(dir, mapping.FileName)
	m, err := mapping.Load(path)
	if err != nil {
		t.Fatal(err)
	}
	cycles, err := stream.OpenCycles(m, dir, stream.Reduction{})
	if err != nil {
		t.Fatal(err)
	}
	middle := (s.Grid.LowestKey + s.Grid.HighestKey) / 2
	return check.Input{MapPath: path, Cycles: cycles, Settings: s, Keys: []int{middle - 5, middle, middle + 4}}
}

// drawSettings draws the grid of a few keys, and short beds.
func drawSettings(random *rand.Rand, seed uint64) project.Settings {
	s := project.Default()
	s.Project.Seed, s.Project.RateHz = int64(seed), []int{24000, 32000, 44100}[random.IntN(3)]
	s.Beds.LengthSec, s.Beds.OverlapSec = 3+random.Float64(), 0.4+0.4*random.Float64()
	s.Beds.LeastTakes = 3 + random.IntN(2)
	s.Beds.MostTakes = s.Beds.LeastTakes + 3
	s.Grid.Ranks, s.Grid.RootKey = 2+random.IntN(2), 48+random.IntN(12)
	s.Grid.RootAt = []mapping.RootAt{mapping.RootTop, mapping.RootMiddle, mapping.RootBottom}[random.IntN(3)]
	s.Grid.LowestKey = 33 + random.IntN(40)
	s.Grid.HighestKey = s.Grid.LowestKey + 8
	s.Grid.StaggerBy = mapping.ByKey
	s.Grid = s.Grid.SpreadStarts(s.Grid.Roots())
	return s
}

// writeProject puts the settings, the takes and their rows into dir.
func (y *recordedYard) writeProject(dir string, chosen []string, s *project.Settings) error {
	if err := s.Save(dir); err != nil {
		return err
	}
	for _, path := range chosen {
		target := filepath.Join(dir, project.TakesFolder, filepath.FromSlash(path))
		if err := os.MkdirAll(filepath.Dir(target), 0o777); err != nil {
			return err
		}
		if err := os.Link(filepath.Join(y.dir, project.TakesFolder, filepath.FromSlash(path)), target); err != nil {
			return err
		}
	}
	sheet, err := takes.ReadSheet(filepath.Join(y.dir, project.SheetFile), takes.OptionsOf(s))
	if err != nil {
		return err
	}
	out := sheet.TakeOut(chosen)
	for i := range out.Rows {
		out.Rows[i].Layer = takes.Both
	}
	return out.Save(filepath.Join(dir, project.SheetFile))
}
