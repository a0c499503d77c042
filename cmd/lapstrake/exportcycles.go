package main

import (
	"lapstrake/engine/stream"
	"lapstrake/mapping"
	"lapstrake/mapping/export"
)

// openCycles opens the cycles of a map: its own, and one variant of them at a time.
type openCycles struct {
	m       *mapping.Map
	dir     string
	own     *stream.Cycles
	variant *stream.Cycles
}

func (c *openCycles) close() {
	for _, bank := range []*stream.Cycles{c.own, c.variant} {
		if bank != nil {
			bank.Close()
		}
	}
}

// openOwn gives the map's own cycles.
func (c *openCycles) openOwn() (cycles export.Cycles, err error) {
	c.own, err = stream.OpenCycles(c.m, c.dir, stream.Reduction{})
	return cyclesOf(c.own), err
}

// openVariant gives the cycles at a rate, or at their own where that is 0, on beds of at most a share of the longest one, and
// closes those that it gave before.
func (c *openCycles) openVariant(rateHz int, share float64) (export.Cycles, error) {
	if c.variant != nil {
		c.variant.Close()
		c.variant = nil
	}
	reduction := stream.Reduction{RateHz: rateHz}
	if share < 1 {
		reduction.BedsSec = share * c.longestBedSec()
	}
	var err error
	c.variant, err = stream.OpenCycles(c.m, c.dir, reduction)
	return cyclesOf(c.variant), err
}

func cyclesOf(bank *stream.Cycles) export.Cycles {
	return func(zone, layer int) export.Cycle {
		cycle := bank.Cycle(zone, layer)
		return export.Cycle{CycleLength: cycle.CycleLength, Source: cycle}
	}
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
