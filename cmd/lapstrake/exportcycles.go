// The cycles that export reads: the map's own, and shorter or slower ones for a smaller bank.

package main

import (
	"cmp"
	"errors"
	"io/fs"

	"lapstrake/engine/stream"
	"lapstrake/mapping"
	"lapstrake/mapping/beds"
	"lapstrake/mapping/export"
)

// openCycles opens the cycles of a map: its own, and variants of them.
type openCycles struct {
	m      *mapping.Map
	dir    string
	own    *stream.Cycles
	rateHz int // that all run at unless a variant is slower; 0: the beds' own
}

func (c *openCycles) close() {
	if c.own != nil {
		c.own.Close()
	}
}

// openOwn gives the map's own cycles, at the rate that was asked for.
func (c *openCycles) openOwn() (cycles export.Cycles, err error) {
	c.own, err = stream.OpenCycles(c.m, c.dir, stream.Reduction{RateHz: c.rateHz})
	return cyclesOf(c.own), err
}

// variantCycles opens variants for a part, one at a time.
type variantCycles struct {
	*openCycles
	opened  *stream.Cycles
	bedsSec float64 // used of each bed in the one that is open; 0: as much as the map uses
}

func (c *variantCycles) close() {
	if c.opened != nil {
		c.opened.Close()
		c.opened = nil
	}
}

// open implements export.OpenCycles. It closes the variant that it gave before.
func (c *variantCycles) open(rateHz int, share float64) (export.Cycles, error) {
	c.close()
	reduction := stream.Reduction{RateHz: cmp.Or(rateHz, c.rateHz)}
	if share < 1 {
		reduction.BedsSec = share * c.longestBedSec()
	}
	c.bedsSec = reduction.BedsSec
	var err error
	c.opened, err = stream.OpenCycles(c.m, c.dir, reduction)
	return cyclesOf(c.opened), err
}

// cyclesOf gives open cycles as the export reads them.
func cyclesOf(cycles *stream.Cycles) export.Cycles {
	return func(zone, layer int) export.Cycle {
		cycle := cycles.Cycle(zone, layer)
		return export.Cycle{CycleLength: cycle.CycleLength, Source: cycle, Mono: cycle.Mono(),
			Begins: cycle.BedBegins()}
	}
}

// stemsOf are those of a map's beds; none where no build kept any.
func stemsOf(dir string, m *mapping.Map) ([]beds.Stems, error) {
	stems, err := beds.ReadStems(dir, m.BedPaths())
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	return stems, err
}

// longestBedSec is how many seconds of the longest bed are used.
func (c *openCycles) longestBedSec() (sec float64) {
	for _, file := range c.own.Files() {
		sec = max(sec, float64(file.Info.Frames)/float64(file.Info.RateHz))
	}
	if c.m.BedSec > 0 {
		return c.m.BedSec
	}
	return sec
}
