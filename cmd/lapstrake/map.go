package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"lapstrake/engine"
	"lapstrake/engine/stream"
	"lapstrake/mapping"
	"lapstrake/mapping/project"
)

// mapOptions are what a map is told beside the project's settings.
type mapOptions struct {
	flags           *pflag.FlagSet
	given           project.Settings // what the options say; of use where an option was given
	lowest, highest string
	layers, strands string
	starts          string
	tuning          string
	scaleKey        string
	reference       string
	maxShift        int
	force, dryRun   bool
	json            bool
}

func mapCommand() command {
	return command{
		name: "map", words: "DIR",
		summary: "make map.toml from a folder of finished beds",
		about: `Makes DIR/map.toml from the finished beds in DIR/beds: WAV files named
LAYER-STRAND-kNNN.wav, NNN the MIDI key of the bed's root (soft-a-k036.wav), or
LAYER-STRAND-ANYTHING.wav with the root in the file's smpl chunk. The grid and the
names come from DIR/lapstrake.toml where there is one; each option changes one of its
settings, and is kept there, so that build makes the same map. Prints the plan and
warns of keys that sound no zone, one zone, or are shifted far.`,
		example: "lapstrake map boatyard --stagger key --starts spread",
		setup: func(flags *pflag.FlagSet) func(streams, []string) error {
			o := &mapOptions{flags: flags}
			o.addFlags(flags)
			return o.run
		},
	}
}

func (o *mapOptions) addFlags(flags *pflag.FlagSet) {
	o.given = project.Default()
	g, p := &o.given.Grid, &o.given.Project
	flags.IntVar(&g.Ranks, "ranks", g.Ranks, "sets of zones that each tile the keyboard")
	flags.IntVar(&g.SpacingSemitones, "spacing", g.SpacingSemitones,
		"`semitones` between the roots of one rank; 0 takes the roots as they lie")
	flags.StringVar((*string)(&g.RootAt), "root-at", string(g.RootAt),
		"where the root lies in its zone: top, middle or bottom")
	flags.StringVar(&o.lowest, "lowest", strconv.Itoa(g.LowestKey), "lowest `KEY` that sounds, as a number or name")
	flags.StringVar(&o.highest, "highest", strconv.Itoa(g.HighestKey), "highest `KEY` that sounds")
	flags.IntVar(&o.maxShift, "max-shift", 11, "warn of keys shifted by more `semitones` than this")
	flags.Float64Var(&o.given.Beds.UsedSec, "length", 0, "`seconds` used of each bed; 0 uses every bed whole")
	flags.Float64Var(&o.given.Beds.OverlapSec, "overlap", o.given.Beds.OverlapSec,
		"`seconds` of crossfade at each join of a cycle")
	flags.StringVar((*string)(&g.StaggerBy), "stagger", string(g.StaggerBy),
		"what gets different starts: zone, key or press")
	flags.StringVar(&o.starts, "starts", "", "the starts in turns, such as 0,0.75,0.5,0.25; golden: by the golden "+
		"ratio; spread: those by which the cycles of common chords begin farthest apart")
	flags.Float64Var(&g.RanksApartTurns, "ranks-apart", g.RanksApartTurns,
		"`turns` by which each rank begins later in its cycles than the one before it")
	flags.Float64Var(&g.SeamFadeDB, "seam-fade", g.SeamFadeDB,
		"`dB` that each rank falls towards its own seams, while the others carry; 0: not at all")
	t := &o.given.Tuning
	flags.StringVar(&o.tuning, "tuning", equalTuning, "a `FILE` in the text format of scale archives (.scl), or equal")
	flags.StringVar(&o.scaleKey, "scale-key", strconv.Itoa(t.ScaleKey), "a `KEY` that is the scale's first note")
	flags.StringVar(&o.reference, "reference", fmt.Sprintf("%d=%g", t.ReferenceKey, t.ReferenceHz),
		"a key and its frequency in Hz, as `KEY=HZ`, such as A4=442")
	flags.StringVar((*string)(&t.ZonesBy), "zones-by", string(t.ZonesBy),
		"what a key's zones are found by: key, its number; pitch, the semitone nearest to its pitch")
	offer(flags, "zones-by", string(mapping.ZonesByKey), string(mapping.ZonesByPitch))
	flags.StringVar((*string)(&p.MiddleC), "middle-c", string(p.MiddleC), "the name of key 60: C4 or C3")
	flags.StringVar(&o.layers, "layers", strings.Join(p.Layers, ","), "dynamic layers, the quietest first")
	flags.StringVar(&o.strands, "strands", strings.Join(p.Strands, ","),
		"strands in the order in which they take turns")
	flags.IntVar(&p.RateHz, "rate", 0, "frames a second of the player; 0 takes the settings' rate, or that of the "+
		"first bed where there are no settings")
	flags.BoolVar(&o.force, "force", false, "overwrite a map that was edited by hand")
	flags.BoolVar(&o.dryRun, "dry-run", false, "print the plan and write nothing")
	flags.BoolVar(&o.json, "json", false, "print the plan as JSON")
}

// mapOverrides are the settings that options of map override.
var mapOverrides = []struct{ option, field string }{
	{"middle-c", "project.middle_c"},
	{"layers", "project.layers"},
	{"strands", "project.strands"},
	{"rate", "project.rate_hz"},
	{"ranks", "grid.ranks"},
	{"spacing", "grid.spacing_semitones"},
	{"root-at", "grid.root_at"},
	{"lowest", "grid.lowest_key"},
	{"highest", "grid.highest_key"},
	{"stagger", "grid.stagger_by"},
	{"starts", "grid.starts"},
	{"ranks-apart", "grid.ranks_apart_turns"},
	{"seam-fade", "grid.seam_fade_db"},
	{"tuning", "tuning.title"},
	{"tuning", "tuning.scale_cents"},
	{"tuning", "tuning.key_cents"},
	{"tuning", "tuning.key_hz"},
	{"scale-key", "tuning.scale_key"},
	{"reference", "tuning.reference_key"},
	{"reference", "tuning.reference_hz"},
	{"zones-by", "tuning.zones_by"},
	{"overlap", "beds.overlap_sec"},
	{"length", "beds.used_sec"},
}

func (o *mapOptions) run(s streams, args []string) error {
	if len(args) != 1 {
		return wrongWords("map takes one folder; found %d arguments", len(args))
	}
	if o.dryRun {
		return o.work(s, args[0])
	}
	return changing(args[0], "map", func(context.Context) error { return o.work(s, args[0]) })
}

func (o *mapOptions) work(s streams, dir string) error {
	request, err := o.settle(s, dir)
	if err != nil {
		return err
	}
	edited, err := mapping.EditedByHand(request.target)
	if err != nil {
		return err
	}
	if edited && !o.force && !o.dryRun {
		return fmt.Errorf("%s: was edited by hand: keep it, or overwrite it with --force", request.target)
	}
	beds, rateHz, err := findBeds(s, dir)
	if err != nil {
		return err
	}
	if request.settings.Project.RateHz == 0 {
		request.settings.Project.RateHz = rateHz
	}
	if o.starts == spreadStarts {
		request.spread(beds)
	}
	m, unused, err := request.settings.Map(beds)
	if err != nil {
		return fmt.Errorf("%s: %w", dir, err)
	}
	if err := m.Check(); err != nil {
		return wordsError{err}
	}
	cycles, err := stream.Open(m, dir, engine.DefaultMemoryBytes/2)
	if err != nil {
		return err
	}
	defer cycles.Close()
	if err := checkFinite(cycles); err != nil {
		return err
	}
	if !o.dryRun {
		if err := request.keep(dir); err != nil {
			return err
		}
		updated, err := m.Update(request.target, mapping.Updating{Force: o.force})
		if err != nil {
			return err
		}
		noticeNudges(s, request.target, updated.Nudged, updated.Lost)
	}
	return o.report(s, request, cycles, unused)
}

// mapRequest is by which settings a map is made, and where it goes.
type mapRequest struct {
	target       string
	settings     project.Settings // of the project, overridden by the options; RateHz 0: that of the first bed
	settingsFile string           // "" where the project has none
	overrides    []override
}

// override is an option that takes the place of a setting.
type override struct {
	Field string `json:"setting"` // such as grid.ranks
	Value string `json:"value"`
}

// settle reads the project's settings and lets the options override them.
func (o *mapOptions) settle(s streams, dir string) (*mapRequest, error) {
	settings, err := project.Load(dir)
	if err != nil {
		return nil, err
	}
	request := &mapRequest{target: filepath.Join(dir, mapping.FileName), settings: settings}
	if path := filepath.Join(dir, project.SettingsFile); exists(path) {
		request.settingsFile = path
	} else {
		request.settings.Project.RateHz = 0
	}
	naming := settings.Project.MiddleC
	if o.flags.Changed("middle-c") {
		naming = o.given.Project.MiddleC
	}
	if err := o.read(s, naming); err != nil {
		return nil, err
	}
	for _, option := range mapOverrides {
		if o.flags.Changed(option.option) {
			text := request.settings.Take(&o.given, option.field)
			request.overrides = append(request.overrides, override{option.field, text})
		}
	}
	if err := request.settings.Grid.Check(); err != nil {
		return nil, wordsError{err}
	}
	return request, nil
}

// spread gives the settings the starts that lie farthest apart for the roots of the beds.
func (p *mapRequest) spread(beds []mapping.Bed) {
	var roots []int
	for _, bed := range beds {
		if !slices.Contains(roots, bed.Root) {
			roots = append(roots, bed.Root)
		}
	}
	spread := p.settings
	spread.Grid = spread.Grid.SpreadStarts(roots)
	for _, field := range []string{"grid.starts", "grid.ranks_apart_turns"} {
		p.overrides = slices.DeleteFunc(p.overrides, func(o override) bool { return o.Field == field })
		p.overrides = append(p.overrides, override{field, p.settings.Take(&spread, field)})
	}
}

// keep writes the settings that options gave into the project's settings, so that build does not undo them.
func (p *mapRequest) keep(dir string) error {
	if len(p.overrides) == 0 {
		return nil
	}
	fields := make([]string, len(p.overrides))
	for i, o := range p.overrides {
		fields[i] = o.Field
	}
	return p.settings.Keep(dir, fields)
}

func exists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}

// read reads the options that are more than one word or number.
func (o *mapOptions) read(s streams, naming mapping.Naming) error {
	if _, err := mapping.ParseNaming(string(naming)); err != nil {
		return wordsError{err}
	}
	var words []string
	var into []*int
	if o.flags.Changed("lowest") {
		words, into = append(words, o.lowest), append(into, &o.given.Grid.LowestKey)
	}
	if o.flags.Changed("highest") {
		words, into = append(words, o.highest), append(into, &o.given.Grid.HighestKey)
	}
	keys, err := parseKeys(s, naming, words)
	if err != nil {
		return err
	}
	for i, key := range keys {
		*into[i] = key
	}
	o.given.Project.Layers, o.given.Project.Strands = splitWords(o.layers), splitWords(o.strands)
	if o.given.Grid.Starts, err = parseStarts(o.starts); err != nil {
		return err
	}
	return o.readTuning(s, naming)
}

func splitWords(list string) []string {
	return strings.FieldsFunc(list, func(r rune) bool { return r == ',' || r == ' ' })
}

// spreadStarts is the word for the starts that lie farthest apart.
const spreadStarts = "spread"

// parseStarts reads a list of starts. The word golden gives none, which the grid spreads by the golden ratio, and so
// does spread, which is found when the roots are known.
func parseStarts(list string) ([]float64, error) {
	if list == "golden" || list == spreadStarts {
		return nil, nil
	}
	var starts []float64
	for _, word := range splitWords(list) {
		start, err := strconv.ParseFloat(word, 64)
		if err != nil {
			return nil, wrongWords("--starts: %q: expected a list of turns such as 0,0.75,0.5,0.25, or golden, or "+
				"spread", word)
		}
		starts = append(starts, start)
	}
	return starts, nil
}
