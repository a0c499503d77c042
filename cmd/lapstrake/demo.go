package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"sync"
	"sync/atomic"

	"github.com/spf13/pflag"

	"lapstrake/cmd/lapstrake/boatyard"
	"lapstrake/mapping"
	"lapstrake/mapping/wav"
)

// demoOptions make the boatyard's project.
type demoOptions struct {
	small bool
	force bool
}

func demoCommand() command {
	return command{
		name: "demo", words: "DIR",
		summary: "make a project to try everything on",
		about: `Makes the project of an estuary boatyard that asked its neighbours for one sound
each: beds for sixteen roots, two layers and two strands, synthesised here, and the
map that plays them. The full project takes 276 MB; the small one has three and a half
octaves on short beds and takes 18 MB.`,
		example: "lapstrake demo boatyard --small",
		setup: func(flags *pflag.FlagSet) func(streams, []string) error {
			o := &demoOptions{}
			flags.BoolVar(&o.small, "small", false, "beds of 2 seconds for eight roots, C#2 to F#5 (keys 37 to 78)")
			flags.BoolVar(&o.force, "force", false, "write into a folder that is there already")
			return o.run
		},
	}
}

const demoRateHz = 48000

func (o *demoOptions) run(s streams, args []string) error {
	if len(args) != 1 {
		return wrongWords("demo takes one folder; found %d arguments", len(args))
	}
	dir := args[0]
	if entries, err := os.ReadDir(dir); err == nil && len(entries) > 0 && !o.force {
		return fmt.Errorf("%s: is there already and not empty: name a new folder, or write into it with --force", dir)
	}
	if err := os.MkdirAll(filepath.Join(dir, "beds"), 0o777); err != nil {
		return err
	}
	if err := o.writeBeds(s, dir); err != nil {
		return err
	}
	words := []string{dir}
	if o.small {
		words = append(words, "--overlap=0.25", "--lowest=37", "--highest=78")
	}
	if o.force {
		words = append(words, "--force")
	}
	return mapCommand().run(words, s)
}

func (o *demoOptions) seconds() float64 {
	if o.small {
		return 2
	}
	return 15
}

// demoBeds lists the beds of the default grid, or of its middle.
func (o *demoOptions) demoBeds() []mapping.BedName {
	var all []mapping.BedName
	lowest, highest := 24, 114
	if o.small {
		lowest, highest = 42, 84
	}
	for root := lowest; root <= highest; root += 6 {
		for _, layer := range []string{"soft", "loud"} {
			for _, strand := range []string{"a", "b"} {
				all = append(all, mapping.BedName{Layer: layer, Strand: strand, Root: root})
			}
		}
	}
	return all
}

func (o *demoOptions) writeBeds(s streams, dir string) error {
	beds := o.demoBeds()
	failed := make([]error, len(beds))
	var next, done atomic.Int64
	bar := newProgress(s.notices, "making beds")
	var showing sync.Mutex
	var makers sync.WaitGroup
	for range runtime.NumCPU() {
		makers.Go(func() {
			for {
				i := int(next.Add(1)) - 1
				if i >= len(beds) {
					return
				}
				failed[i] = o.writeBed(filepath.Join(dir, "beds", beds[i].String()), beds[i])
				showing.Lock()
				bar.show(float64(done.Add(1)) / float64(len(beds)))
				showing.Unlock()
			}
		})
	}
	makers.Wait()
	bar.end()
	return errors.Join(failed...)
}

func (o *demoOptions) writeBed(path string, bed mapping.BedName) error {
	writer, err := wav.Create(path, demoRateHz, 2, wav.PCM24)
	if err != nil {
		return err
	}
	defer writer.Discard()
	if err := writer.WriteFrames(boatyard.Bed(bed.Layer, bed.Strand, bed.Root, o.seconds(), demoRateHz)); err != nil {
		return err
	}
	return writer.Commit()
}
