package takes_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"

	"lapstrake/mapping/project"
	"lapstrake/mapping/takes"
	"lapstrake/mapping/testsound"
)

// Two neighbours send a sound each; intake measures them and makes the sheet.
func ExampleIntake() {
	dir, err := os.MkdirTemp("", "boatyard")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer os.RemoveAll(dir)
	for _, name := range []string{"flute/A4.mp3", "piano/C4v10.flac"} {
		data, _ := os.ReadFile(filepath.Join(testsound.Recordings(), filepath.FromSlash(name)))
		path := filepath.Join(dir, project.TakesFolder, filepath.FromSlash(name))
		os.MkdirAll(filepath.Dir(path), 0o777)
		os.WriteFile(path, data, 0o666)
	}
	report, err := takes.Intake(context.Background(), dir, takes.IntakeOptions{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, row := range report.Sheet.Rows {
		key, _ := row.Pitch.Key()
		fmt.Printf("%s by %s: %s, key %d\n", row.Path, row.Contributor, row.Kind, key)
	}
	again, _ := takes.Intake(context.Background(), dir, takes.IntakeOptions{})
	fmt.Printf("measured at first: %d, the second time: %d\n", report.Measured, again.Measured)
	// Output:
	// flute/A4.mp3 by flute: held, key 69
	// piano/C4v10.flac by piano: struck, key 60
	// measured at first: 2, the second time: 0
}
