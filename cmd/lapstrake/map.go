package main

import (
	"fmt"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"lapstrake/engine"
	"lapstrake/engine/stream"
	"lapstrake/mapping"
	"lapstrake/mapping/whole"
)

// mapOptions are the grid and what else a new map can be told.
type mapOptions struct {
	ranks, spacing, maxShift int
	rootAt, lowest, highest  string
	bedSec, overlapSec       float64
	stagger, starts          string
	middleC, layers, strands string
	rateHz                   int
	force, dryRun, json      bool
}

func mapCommand() command {
	return command{
		name: "map", words: "DIR",
		summary: "make map.toml from a folder of finished beds",
		about: `Makes DIR/map.toml from the finished beds in DIR/beds: WAV files named
LAYER-STRAND-kNNN.wav, NNN the MIDI key of the bed's root (soft-a-k036.wav), or
LAYER-STRAND-ANYTHING.wav with the root in the file's smpl chunk. Prints the plan
and warns of keys that sound no zone, one zone, or are shifted far.`,
		example: "lapstrake map boatyard --stagger key --starts golden",
		setup: func(flags *pflag.FlagSet) func(streams, []string) error {
			o := &mapOptions{}
			o.addFlags(flags)
			return o.run
		},
	}
}

func (o *mapOptions) addFlags(flags *pflag.FlagSet) {
	grid, m := mapping.DefaultGrid(), mapping.New()
	flags.IntVar(&o.ranks, "ranks", grid.Ranks, "sets of zones that each tile the keyboard")
	flags.IntVar(&o.spacing, "spacing", grid.Spacing, "`semitones` between the roots of one rank; 0 takes the roots as they lie")
	flags.StringVar(&o.rootAt, "root-at", string(grid.RootAt), "where the root lies in its zone: top, middle or bottom")
	flags.StringVar(&o.lowest, "lowest", strconv.Itoa(grid.Lowest), "lowest `KEY` that sounds, as a number or name")
	flags.StringVar(&o.highest, "highest", strconv.Itoa(grid.Highest), "highest `KEY` that sounds")
	flags.IntVar(&o.maxShift, "max-shift", 11, "warn of keys shifted by more `semitones` than this")
	flags.Float64Var(&o.bedSec, "length", 0, "`seconds` used of each bed; 0 uses every bed whole")
	flags.Float64Var(&o.overlapSec, "overlap", m.OverlapSec, "`seconds` of crossfade at each join of a cycle")
	flags.StringVar(&o.stagger, "stagger", string(mapping.ByZone), "what gets different starts: zone, key or press")
	flags.StringVar(&o.starts, "starts", "", "the starts in turns, such as 0,0.75,0.5,0.25, or golden to spread them by the golden ratio")
	flags.StringVar(&o.middleC, "middle-c", string(m.MiddleC), "the name of key 60: C4 or C3")
	flags.StringVar(&o.layers, "layers", strings.Join(m.Layers, ","), "dynamic layers, the quietest first")
	flags.StringVar(&o.strands, "strands", strings.Join(m.Strands, ","), "strands in the order in which they take turns")
	flags.IntVar(&o.rateHz, "rate", 0, "frames a second of the player; 0 takes the rate of the first bed")
	flags.BoolVar(&o.force, "force", false, "overwrite a map that was edited by hand")
	flags.BoolVar(&o.dryRun, "dry-run", false, "print the plan and write nothing")
	flags.BoolVar(&o.json, "json", false, "print the plan as JSON")
}

func (o *mapOptions) run(s streams, args []string) error {
	if len(args) != 1 {
		return wrongWords("map takes one folder; found %d arguments", len(args))
	}
	m, grid, err := o.settle(s)
	if err != nil {
		return err
	}
	dir := args[0]
	target := filepath.Join(dir, mapping.FileName)
	edited, err := mapping.EditedByHand(target)
	if err != nil {
		return err
	}
	if edited && !o.force && !o.dryRun {
		return fmt.Errorf("%s: was edited by hand: keep it, or overwrite it with --force", target)
	}
	beds, rateHz, err := findBeds(s, dir)
	if err != nil {
		return err
	}
	if m.RateHz = o.rateHz; m.RateHz == 0 {
		m.RateHz = rateHz
	}
	unused, err := mapping.Generate(m, beds, grid)
	if err != nil {
		return fmt.Errorf("%s: %w", dir, err)
	}
	if err := m.Check(); err != nil {
		return wordsError{err}
	}
	bank, err := stream.Open(m, dir, engine.DefaultMemoryBytes/2)
	if err != nil {
		return err
	}
	defer bank.Close()
	if err := checkFinite(bank); err != nil {
		return err
	}
	if !o.dryRun {
		if err := m.Save(target); err != nil {
			return err
		}
		sources, err := sourcesOf(target, m)
		if err != nil {
			return err
		}
		if err := whole.NotOlder(target, sources); err != nil { // whatever a clock says: it is these beds' map
			return err
		}
	}
	return o.report(s, target, bank, grid, unused)
}

// settle makes the map's settings and the grid from the options.
func (o *mapOptions) settle(s streams) (*mapping.Map, mapping.Grid, error) {
	m := mapping.New()
	grid := mapping.Grid{Ranks: o.ranks, Spacing: o.spacing, RootAt: mapping.RootAt(o.rootAt)}
	naming, err := mapping.ParseNaming(o.middleC)
	if err != nil {
		return nil, grid, wordsError{err}
	}
	m.MiddleC, m.BedSec, m.OverlapSec = naming, o.bedSec, o.overlapSec
	m.Layers, m.Strands = splitWords(o.layers), splitWords(o.strands)
	keys, err := parseKeys(s, naming, []string{o.lowest, o.highest})
	if err != nil {
		return nil, grid, err
	}
	grid.Lowest, grid.Highest = keys[0], keys[1]
	m.Stagger.By = mapping.By(o.stagger)
	starts, err := o.parseStarts(grid)
	if err != nil {
		return nil, grid, err
	}
	if m.Stagger.By == mapping.ByZone {
		grid.Starts = starts
	} else {
		m.Stagger.Starts = starts
	}
	if err := grid.Check(); err != nil {
		return nil, grid, wordsError{err}
	}
	return m, grid, nil
}

func splitWords(list string) []string {
	return strings.FieldsFunc(list, func(r rune) bool { return r == ',' || r == ' ' })
}

// parseStarts reads the list of starts. By the golden ratio there is one for
// each zone of a rank, each key, or each of eight presses.
func (o *mapOptions) parseStarts(grid mapping.Grid) ([]float64, error) {
	switch o.starts {
	case "":
		return mapping.DefaultStarts(), nil
	case "golden":
		switch mapping.By(o.stagger) {
		case mapping.ByKey:
			return mapping.GoldenStarts(grid.Highest - grid.Lowest + 1), nil
		case mapping.ByPress:
			return mapping.GoldenStarts(8), nil
		}
		return mapping.GoldenStarts(16), nil
	}
	var starts []float64
	for _, word := range splitWords(o.starts) {
		start, err := strconv.ParseFloat(word, 64)
		if err != nil {
			return nil, wrongWords("--starts: %q: expected a list of turns such as 0,0.75,0.5,0.25, or golden", word)
		}
		starts = append(starts, start)
	}
	return starts, nil
}
