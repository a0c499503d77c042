package export_test

import (
	"context"
	"fmt"
	"log"
	"os"
	"path/filepath"

	"lapstrake/mapping"
	"lapstrake/mapping/export"
	"lapstrake/mapping/export/testyard"
	"lapstrake/mapping/wav"
)

// silence is a cycle without sound.
type silence struct{}

func (silence) ReadFrames(dst []float32, pos int64) error {
	clear(dst)
	return nil
}

// A map of three zones and two layers, with a cycle for each, is exported as a set of WAV files.
func ExampleJob_Write() {
	dir, err := os.MkdirTemp("", "export")
	if err != nil {
		log.Fatal(err)
	}
	defer os.RemoveAll(dir)

	cycle := export.Cycle{CycleLength: mapping.CycleLength{Frames: 8000, RateHz: testyard.RateHz}, Source: silence{}}
	job := &export.Job{
		Map: testyard.Map(), Cycles: func(zone, layer int) export.Cycle { return cycle }, Title: "Yard",
		Parts: export.Parts{export.WAV}, Starts: export.FirstStart, Format: wav.PCM24,
	}
	report, err := job.Write(context.Background(), filepath.Join(dir, "yard-1"), false)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(report.Files, "files, the first is", report.Proofs[0].File)
	fmt.Println("exactly what the player plays:", report.Proofs[0].Exact())
	// Output:
	// 12 files, the first is wav/soft_C/soft_C_root-036-C2_keys-025-C#1-to-036-C2.wav
	// exactly what the player plays: true
}
