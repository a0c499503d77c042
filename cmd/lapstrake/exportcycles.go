package main

import (
	"slices"

	"lapstrake/engine/stream"
	"lapstrake/mapping"
	"lapstrake/mapping/export"
)

// openCycles opens the cycles of a map: its own, and one variant of them at a time.
type openCycles struct {
	m       *mapping.Map
	dir     string
	own     *stream.Bank
	variant *stream.Bank
}

func (c *openCycles) close() {
	for _, bank := range []*stream.Bank{c.own, c.variant} {
		if bank != nil {
			bank.Close()
		}
	}
}

// openOwn gives the map's own cycles.
func (c *openCycles) openOwn() (cycles export.Cycles, err error) {
	c.own, err = stream.OpenCycles(c.m, c.dir, 0)
	return cyclesOf(c.own), err
}

// openVariant gives the cycles at a rate, or at their own where that is 0, on a share of the seconds of each bed, and
// closes those that it gave before.
func (c *openCycles) openVariant(rateHz int, share float64) (export.Cycles, error) {
	if c.variant != nil {
		c.variant.Close()
		c.variant = nil
	}
	m := *c.m
	if share < 1 {
		m.BedSec = share * c.bedSec()
	}
	var err error
	c.variant, err = stream.OpenCycles(&m, c.dir, rateHz)
	return cyclesOf(c.variant), err
}

func cyclesOf(bank *stream.Bank) export.Cycles {
	return func(zone, layer int) export.Cycle {
		cycle := bank.Cycle(zone, layer)
		return export.Cycle{Cycle: cycle.Cycle, Source: cycle}
	}
}

// bedSec is how many seconds of the shortest bed are used.
func (c *openCycles) bedSec() float64 {
	if c.m.BedSec > 0 {
		return c.m.BedSec
	}
	var all []float64
	for _, file := range c.own.Files() {
		all = append(all, float64(file.Info.Frames)/float64(file.Info.RateHz))
	}
	return slices.Min(all)
}
