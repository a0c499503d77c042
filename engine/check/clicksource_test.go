// Clicks planted into beds and takes of real recordings are found, and named after where they come from.

package check_test

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"lapstrake/engine/check"
	"lapstrake/engine/stream"
	"lapstrake/mapping"
	"lapstrake/mapping/beds"
	"lapstrake/mapping/project"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes"
	"lapstrake/mapping/takes/decode"
	"lapstrake/mapping/testsound"
	"lapstrake/mapping/wav"
)

// smallBuild builds the beds of two roots of a few recordings; change may change what the takes hold.
func smallBuild(t *testing.T, change func(path string, s *decode.Sound)) (dir string) {
	t.Helper()
	dir = t.TempDir()
	s := project.Default()
	s.Project.RateHz, s.Project.Layers = 32000, []string{"soft"}
	s.Beds.LengthSec, s.Beds.OverlapSec = 4, 0.5
	s.Grid.Ranks, s.Grid.LowestKey, s.Grid.HighestKey = 1, 49, 72
	for _, path := range []string{"flute/E4.mp3", "bassoon/C4.mp3", "guitar-acoustic/G3.mp3", "piano/C4v10.flac",
		"misc/perc_till.flac", "misc/tabla_tun1.flac"} {
		recorded, err := decode.File(filepath.Join(testsound.Recordings(), filepath.FromSlash(path)))
		if err != nil {
			t.Fatal(err)
		}
		if change != nil {
			change(path, recorded)
		}
		to := filepath.Join(dir, project.TakesFolder, strings.TrimSuffix(path, filepath.Ext(path))+".wav")
		if err := writeSound(to, recorded); err != nil {
			t.Fatal(err)
		}
	}
	_, err := takes.Intake(context.Background(), dir, takes.IntakeOptions{SheetOptions: takes.OptionsOf(&s)})
	if err := errors.Join(err, s.Save(dir)); err != nil {
		t.Fatal(err)
	}
	if _, err := beds.Build(context.Background(), dir, beds.BuildOptions{}); err != nil {
		t.Fatal(err)
	}
	return dir
}

func writeSound(path string, s *decode.Sound) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
		return err
	}
	w, err := wav.Create(path, s.RateHz, len(s.Channels), wav.PCM24)
	if err != nil {
		return err
	}
	var frames []float32
	for i := range s.Frames() {
		for _, channel := range s.Channels {
			frames = append(frames, channel[i])
		}
	}
	return errors.Join(w.WriteFrames(frames), w.Commit())
}

// clicksOf lists the findings of clicks in a project.
func clicksOf(t *testing.T, dir string) []check.Finding {
	t.Helper()
	path := filepath.Join(dir, mapping.FileName)
	m, err := mapping.Load(path)
	if err != nil {
		t.Fatal(err)
	}
	cycles, err := stream.OpenCycles(m, dir, stream.Reduction{})
	if err != nil {
		t.Fatal(err)
	}
	defer cycles.Close()
	report, err := check.Run(context.Background(),
		check.Input{MapPath: path, Cycles: cycles, Settings: project.Default(), Parts: []string{"clicks"}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return findings(report, "click_db")
}

// One sample of −20 dBFS in a bed of recordings, or twice as high as what is around it where that is louder, is found at
// its place, and no take is blamed for it. Without it nothing is.
func TestClicksInBedsOfRecordings(t *testing.T) {
	dir := smallBuild(t, nil)
	for _, f := range clicksOf(t, dir) {
		t.Errorf("nothing was planted: %s", f.Text)
	}
	paths, err := filepath.Glob(filepath.Join(dir, project.BedsFolder, "*.wav"))
	if err != nil || len(paths) != 4 {
		t.Fatalf("%d beds, %v", len(paths), err)
	}
	missed := 0
	for seed := range uint64(seeds) {
		random := rand.New(rand.NewPCG(seed, 31))
		path := paths[random.IntN(len(paths))]
		before, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		bed, err := decode.File(path)
		if err != nil {
			t.Fatal(err)
		}
		at := bed.RateHz + random.IntN(bed.Frames()-2*bed.RateHz)
		side := bed.Channels[random.IntN(2)]
		around := sound.Peak(side[at-bed.RateHz/200 : at+bed.RateHz/200])
		side[at] += max(float32(sound.DBToAmplitude(-20)), 2*around)
		if err := writeSound(path, bed); err != nil {
			t.Fatal(err)
		}
		found := clicksOf(t, dir)
		if len(found) != 1 || math.Abs(found[0].Place.AtSec-float64(at)/float64(bed.RateHz)) > 0.001 ||
			!strings.Contains(found[0].Cure, "edited by hand") {
			missed++
			t.Logf("seed %d: a click at %.3f s of %s: %+v", seed, float64(at)/float64(bed.RateHz),
				filepath.Base(path), found)
		}
		if err := os.WriteFile(path, before, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	if missed > 1 { // one that falls into an onset is taken for a part of it
		t.Errorf("%d of %d missed", missed, seeds)
	}
}

// A take that clicks is found by itself, and no bed is blamed for it.
func TestClickingTakeIsNamed(t *testing.T) {
	const clicking = "flute/E4"
	dir := smallBuild(t, func(path string, s *decode.Sound) {
		if strings.HasPrefix(path, clicking) {
			for sec := 0.6; sec < s.Seconds()-0.3; sec += 0.4 {
				for _, channel := range s.Channels {
					channel[int(sec*float64(s.RateHz))] += float32(sound.DBToAmplitude(-14))
				}
			}
		}
	})
	found := clicksOf(t, dir)
	if len(found) == 0 {
		t.Error("a take clicks every 0.4 s, and nothing is found")
	}
	for _, f := range found {
		if f.Place.Take != clicking+".wav" || !strings.Contains(f.Cure, "for "+clicking+".wav") {
			t.Errorf("%s: cure %s, want one for %s", f.Text, f.Cure, clicking)
		}
	}
}
