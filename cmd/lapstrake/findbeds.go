// Finds the beds of a project and their roots.

package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"lapstrake/engine/stream"
	"lapstrake/mapping"
	"lapstrake/mapping/project"
	"lapstrake/mapping/wav"
)

// findBeds lists the beds of a project with their roots, and the rate of the
// first of them.
func findBeds(s streams, dir string) ([]mapping.Bed, int, error) {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, 0, fmt.Errorf("%s: no such folder: expected a project with finished beds in %s",
			dir, filepath.Join(dir, project.BedsFolder))
	}
	defer root.Close()
	entries, err := fs.ReadDir(root.FS(), project.BedsFolder)
	if err != nil {
		return nil, 0, fmt.Errorf("%s: no such folder: put finished beds there, named like soft-a-k036.wav",
			filepath.Join(dir, project.BedsFolder))
	}
	var beds []mapping.Bed
	var problems []error
	rateHz := 0
	for _, entry := range entries {
		if entry.IsDir() || !strings.EqualFold(filepath.Ext(entry.Name()), ".wav") ||
			strings.HasPrefix(entry.Name(), ".") {
			continue
		}
		name, err := mapping.ParseBedName(entry.Name())
		if err != nil {
			s.notice("%s/%s: left out: %v", project.BedsFolder, entry.Name(), err)
			continue
		}
		bed := mapping.Bed{BedName: name, Path: project.BedsFolder + "/" + entry.Name()}
		file, err := stream.OpenBed(root, bed.Path)
		if err != nil {
			problems = append(problems, err)
			continue
		}
		if rateHz == 0 {
			rateHz = file.Info.RateHz
		}
		if err := settleRoot(s, &bed, file.Info.Sampler); err != nil {
			problems = append(problems, err)
		}
		beds = append(beds, bed)
		file.Close()
	}
	return beds, rateHz, errors.Join(problems...)
}

// settleRoot takes a bed's root from its smpl chunk where the name has none.
func settleRoot(s streams, bed *mapping.Bed, sampler *wav.Sampler) error {
	switch {
	case bed.Root < 0 && sampler == nil:
		return fmt.Errorf("%s: neither the name nor a smpl chunk gives its root: "+
			"rename it to end in -kNNN.wav, NNN the MIDI key", bed.Path)
	case bed.Root < 0:
		bed.Root = sampler.RootKey
	case sampler != nil && sampler.RootKey != bed.Root:
		s.notice("%s: the name says root %d, the smpl chunk %d: the name counts", bed.Path, bed.Root, sampler.RootKey)
	}
	return nil
}

// checkFinite reads every bed whose samples could be no numbers: the floating-point ones.
func checkFinite(opened *stream.Cycles) error {
	var problems []error
	buffer := make([]float32, 2*4096)
	for _, file := range opened.Files() {
		if file.Info.Encoding != wav.Float32 && file.Info.Encoding != wav.Float64 {
			continue
		}
		for at := int64(0); at < file.Info.Frames; at += 4096 {
			n := min(file.Info.Frames-at, 4096)
			if err := file.ReadStereo(buffer[:2*n], at); err != nil {
				problems = append(problems, err)
				break
			}
		}
	}
	return errors.Join(problems...)
}
