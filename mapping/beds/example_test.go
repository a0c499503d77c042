package beds_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"

	"lapstrake/mapping/beds"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
	"lapstrake/mapping/testsound"
)

// Two takes become the beds of one root, and a second build has nothing to do.
func ExampleBuild() {
	dir, err := os.MkdirTemp("", "boatyard")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer os.RemoveAll(dir)
	for _, name := range []string{"flute/A4.mp3", "bassoon/C4.mp3"} {
		data, _ := os.ReadFile(filepath.Join(testsound.Recordings(), filepath.FromSlash(name)))
		path := filepath.Join(dir, project.TakesFolder, filepath.FromSlash(name))
		os.MkdirAll(filepath.Dir(path), 0o777)
		os.WriteFile(path, data, 0o666)
	}
	settings := project.Default()
	settings.Project.RateHz, settings.Project.Layers = 16000, []string{"soft"}
	settings.Beds.LengthSec, settings.Beds.OverlapSec = 1, 0.25
	settings.Grid.Ranks, settings.Grid.LowestKey, settings.Grid.HighestKey = 1, 61, 72
	ctx := context.Background()
	if err := settings.Save(dir); err != nil {
		fmt.Println(err)
		return
	}
	if _, err := takes.Intake(ctx, dir, takes.IntakeOptions{SheetOptions: takes.OptionsOf(&settings)}); err != nil {
		fmt.Println(err)
		return
	}
	for range 2 {
		report, err := beds.Build(ctx, dir, beds.BuildOptions{})
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Println("made:", report.Built, "kept:", report.Kept)
	}
	// Output:
	// made: [soft-a-k072.wav soft-b-k072.wav] kept: 0
	// made: [] kept: 2
}
