// The projects that the sound is measured on: two octaves of beds at full length.

package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"testing"

	"lapstrake/mapping/beds"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
	"lapstrake/mapping/takes/measure"
	"lapstrake/mapping/testsound"
)

func silent() streams {
	var out, notices bytes.Buffer
	return streams{&out, &notices}
}

// recordingsYard is a project of all recordings that the tests have; their sources stand in testdata/README.md.
func recordingsYard(t *testing.T) string {
	t.Helper()
	return twoOctaves(t, func(dir string) error {
		folder := filepath.Join(dir, project.TakesFolder)
		if err := os.CopyFS(folder, os.DirFS(testsound.Recordings())); err != nil {
			return err
		}
		return os.Remove(filepath.Join(folder, "truth.csv"))
	})
}

// longerYard is the small demo on beds of full length.
func longerYard(t *testing.T) string {
	t.Helper()
	return twoOctaves(t, func(dir string) error {
		return (&demoOptions{takes: 16}).writeTakes(silent(), filepath.Join(dir, project.TakesFolder))
	})
}

// twoOctaves measures takes and builds beds of them.
func twoOctaves(t *testing.T, writeTakes func(dir string) error) string {
	t.Helper()
	dir := t.TempDir()
	if err := writeTakes(dir); err != nil {
		t.Fatal(err)
	}
	settings := project.Default()
	settings.Project.RateHz = 32000 // a third less to do
	settings.Grid.LowestKey, settings.Grid.HighestKey = 49, 72
	if err := settings.Save(dir); err != nil {
		t.Fatal(err)
	}
	if err := updateSheet(context.Background(), silent(), dir); err != nil {
		t.Fatal(err)
	}
	if err := (&buildOptions{}).run(silent(), []string{dir}); err != nil {
		t.Fatal(err)
	}
	return dir
}

// leftAtTheirPitch counts the takes that beds hold at their own pitch, those left out that were measured as noise.
func leftAtTheirPitch(t *testing.T, dir string) int {
	t.Helper()
	settings, err := project.Load(dir)
	if err != nil {
		t.Fatal(err)
	}
	sheet, err := takes.ReadSheet(filepath.Join(dir, project.SheetFile), takes.OptionsOf(&settings))
	if err != nil {
		t.Fatal(err)
	}
	noisy := map[string]bool{}
	for _, row := range sheet.Rows {
		noisy[row.Path] = row.Measures.Kind == measure.Noisy
	}
	paths, err := filepath.Glob(filepath.Join(dir, project.BedsFolder, "*.wav"))
	if err != nil {
		t.Fatal(err)
	}
	for i, path := range paths {
		if paths[i], err = filepath.Rel(dir, path); err != nil {
			t.Fatal(err)
		}
		paths[i] = filepath.ToSlash(paths[i])
	}
	contents, err := beds.ReadContents(dir, paths)
	if err != nil {
		t.Fatal(err)
	}
	left := map[string]bool{}
	for _, bed := range contents {
		for _, take := range bed.Takes {
			if take.Move == nil && !noisy[take.Path] {
				left[take.Path] = true
			}
		}
	}
	return len(left)
}
