package main

import (
	"fmt"
	"text/tabwriter"

	"lapstrake/engine/stream"
	"lapstrake/mapping"
)

// soundingCycle is one cycle of a held chord.
type soundingCycle struct {
	Key      int     `json:"key"`
	Rank     string  `json:"rank"`
	Root     int     `json:"root"`
	Layer    string  `json:"layer,omitempty"` // where the layers of a zone differ in length
	Start    float64 `json:"start_turns"`
	CycleSec float64 `json:"cycle_sec"`

	cycle *stream.Cycle
	head  *stream.Head
	step  uint64
}

// comeback is when all cycles of a chord are again near where they began.
type comeback struct {
	WithinTurns float64 `json:"within_turns"`
	AfterSec    float64 `json:"after_sec,omitempty"`
	AtSec       float64 `json:"nearest_sec,omitempty"`
	WorstTurns  float64 `json:"worst_turns,omitempty"`
	Never       bool    `json:"not_within_horizon,omitempty"`
}

const horizonSec = 24 * 3600

// soundingCycles lists the cycles that keys sound when they are pressed in this
// order, the first press being number 0. Layers of equal length count once.
func soundingCycles(bank *stream.Cycles, keys []int) []soundingCycle {
	m := bank.Map
	var all []soundingCycle
	for press, key := range keys {
		for _, i := range m.ZonesAt(key) {
			z := &m.Zones[i]
			start := m.Start(z, key, int64(press))
			for layer, name := range m.Layers {
				c := soundingCycle{Key: key, Rank: z.Rank, Root: z.Root, Start: start, cycle: bank.Cycle(i, layer), head: bank.Head(i, layer, start)}
				c.step = c.cycle.Step(float64(key-z.Root), m.RateHz)
				c.CycleSec = c.cycle.TurnSeconds(c.step, m.RateHz)
				if layer > 0 {
					if c.CycleSec == bank.Cycle(i, 0).TurnSeconds(bank.Cycle(i, 0).Step(float64(key-z.Root), m.RateHz), m.RateHz) {
						continue
					}
					c.Layer = name
				}
				all = append(all, c)
			}
		}
	}
	return all
}

func comebacks(cycles []soundingCycle) []comeback {
	var lengths []float64
	for _, c := range cycles {
		lengths = append(lengths, c.CycleSec)
	}
	var all []comeback
	for _, within := range []float64{0.01, 0.02, 0.05} {
		back, found := mapping.FirstReturn(lengths, within, horizonSec)
		all = append(all, comeback{within, back.FromSec, back.BestSec, back.WorstTurns, !found})
	}
	return all
}

func printChord(s streams, naming mapping.Naming, cycles []soundingCycle, backs []comeback) {
	table := tabwriter.NewWriter(s.out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(table, "key\trank\troot\tshift\tstart\tcycle")
	for _, c := range cycles {
		layer := ""
		if c.Layer != "" {
			layer = " (" + c.Layer + ")"
		}
		fmt.Fprintf(table, "%s (%d)\t%s%s\t%s (%d)\t%+d\t%.4g turns\t%.3f s\n", naming.Name(c.Key), c.Key, c.Rank, layer,
			naming.Name(c.Root), c.Root, c.Key-c.Root, c.Start, c.CycleSec)
	}
	table.Flush()
	fmt.Fprintln(s.out)
	for _, b := range backs {
		if b.Never {
			fmt.Fprintf(s.out, "within %g %% of a turn of where they began: not in 24 h\n", 100*b.WithinTurns)
			continue
		}
		fmt.Fprintf(s.out, "within %g %% of a turn of where they began: first after %s (nearest at %s, the worst %.2f %% off)\n",
			100*b.WithinTurns, minutes(b.AfterSec), minutes(b.AtSec), 100*b.WorstTurns)
	}
}
