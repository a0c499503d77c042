package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"text/tabwriter"

	"github.com/spf13/pflag"

	"lapstrake/engine"
	"lapstrake/engine/stream"
	"lapstrake/mapping"
	"lapstrake/mapping/wav"
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
	flags.Float64Var(&o.overlapSec, "overlap", m.Overlap, "`seconds` of crossfade at each join of a cycle")
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
	m.MiddleC, m.BedSec, m.Overlap = naming, o.bedSec, o.overlapSec
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

// findBeds lists the beds of a project with their roots, and the rate of the
// first of them.
func findBeds(s streams, dir string) ([]mapping.Bed, int, error) {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, 0, fmt.Errorf("%s: no such folder: expected a project with finished beds in %s", dir, filepath.Join(dir, "beds"))
	}
	defer root.Close()
	entries, err := fs.ReadDir(root.FS(), "beds")
	if err != nil {
		return nil, 0, fmt.Errorf("%s: no folder of beds: put finished beds there, named like soft-a-k036.wav", filepath.Join(dir, "beds"))
	}
	var beds []mapping.Bed
	var problems []error
	rateHz := 0
	for _, entry := range entries {
		if entry.IsDir() || !strings.EqualFold(filepath.Ext(entry.Name()), ".wav") || strings.HasPrefix(entry.Name(), ".") {
			continue
		}
		name, err := mapping.ParseBedName(entry.Name())
		if err != nil {
			s.notice("beds/%s: left out: %v", entry.Name(), err)
			continue
		}
		bed := mapping.Bed{BedName: name, Path: "beds/" + entry.Name()}
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
		return fmt.Errorf("%s: neither the name nor a smpl chunk tells its root: rename it to end in -kNNN.wav, NNN the MIDI key", bed.Path)
	case bed.Root < 0:
		bed.Root = sampler.RootKey
	case sampler != nil && sampler.RootKey != bed.Root:
		s.notice("%s: the name says root %d, its smpl chunk %d: the name is taken", bed.Path, bed.Root, sampler.RootKey)
	}
	return nil
}

// checkFinite reads every bed that could hold what is no number.
func checkFinite(bank *stream.Bank) error {
	var problems []error
	buffer := make([]float32, 2*4096)
	for _, file := range bank.Files() {
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

// zonePlan is a zone as the plan shows it.
type zonePlan struct {
	Rank       string    `json:"rank"`
	Root       int       `json:"root"`
	Low        int       `json:"low"`
	High       int       `json:"high"`
	Starts     []float64 `json:"starts"`
	CycleSec   float64   `json:"cycle_sec"`
	LongestSec float64   `json:"longest_sec"`
}

func (o *mapOptions) report(s streams, target string, bank *stream.Bank, grid mapping.Grid, unused []int) error {
	m := bank.Map
	warnings := m.KeyWarnings(grid.Lowest, grid.Highest, o.maxShift)
	for _, root := range unused {
		warnings = append(warnings, fmt.Sprintf("root %d: its beds lie on no rank of this grid and are left out", root))
	}
	warnings = append(warnings, unequalLayers(bank)...)
	plan := make([]zonePlan, len(m.Zones))
	for i := range m.Zones {
		z := &m.Zones[i]
		cycle := bank.Cycle(i, 0)
		plan[i] = zonePlan{z.Rank, z.Root, z.Low, z.High, m.Starts(z), cycle.Seconds(0), cycle.Seconds(float64(z.Low - z.Root))}
	}
	if o.json {
		return json.NewEncoder(s.out).Encode(struct {
			Map      string     `json:"map"`
			Zones    []zonePlan `json:"zones"`
			Warnings []string   `json:"warnings"`
		}{target, plan, warnings})
	}
	table := tabwriter.NewWriter(s.out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(table, "rank\troot\tkeys\tshift\tstart\tcycle at root\tat its lowest key")
	for i, z := range m.Zones {
		fmt.Fprintf(table, "%s\t%s (%d)\t%s–%s (%d–%d)\t%+d to %+d\t%s\t%.3f s\t%.3f s\n", z.Rank, m.MiddleC.Name(z.Root), z.Root,
			m.MiddleC.Name(z.Low), m.MiddleC.Name(z.High), z.Low, z.High, z.Low-z.Root, z.High-z.Root,
			startsText(plan[i].Starts), plan[i].CycleSec, plan[i].LongestSec)
	}
	table.Flush()
	fmt.Fprintf(s.out, "\n%s\n", m.Drawing(grid.Lowest, grid.Highest))
	for _, warning := range warnings {
		s.notice("warning: %s", warning)
	}
	if o.dryRun {
		s.notice("nothing written")
		return nil
	}
	fmt.Fprintf(s.out, "%s: %d zones in %d ranks, middle C (key 60) is %s\n", target, len(m.Zones), grid.Ranks, m.MiddleC)
	return nil
}

func startsText(starts []float64) string {
	if len(starts) > 4 {
		return fmt.Sprintf("%d different", len(starts))
	}
	words := make([]string, len(starts))
	for i, start := range starts {
		words[i] = strconv.FormatFloat(start, 'g', 4, 64)
	}
	return strings.Join(words, " ")
}

// unequalLayers tells of zones whose layers do not stay in phase.
func unequalLayers(bank *stream.Bank) []string {
	var warnings []string
	for i, z := range bank.Map.Zones {
		first := bank.Cycle(i, 0)
		for layer := 1; layer < len(bank.Map.Layers); layer++ {
			if cycle := bank.Cycle(i, layer); cycle.Seconds(0) != first.Seconds(0) {
				warnings = append(warnings, fmt.Sprintf("rank %s, root %d: layer %s lasts %.3f s, layer %s %.3f s: they drift apart while a note is held; make their beds equally long or set --length",
					z.Rank, z.Root, bank.Map.Layers[0], first.Seconds(0), bank.Map.Layers[layer], cycle.Seconds(0)))
			}
		}
	}
	return warnings
}
