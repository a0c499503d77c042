// Package project says what a project is: the names of its files and folders, and its settings, which lapstrake.toml
// holds.
package project

import (
	"fmt"
	"reflect"

	"lapstrake/mapping"
)

// Settings are everything a builder decides about a project as a whole; what is decided for a single take stands
// in the take sheet. Units, ranges and meanings are in settingRules, which also writes the comments of the file.
type Settings struct {
	Project ProjectSettings `toml:"project"`
	Grid    mapping.Grid    `toml:"grid"`
	Beds    BedSettings     `toml:"beds"`
	Conform ConformSettings `toml:"conform"`
	Arrange ArrangeSettings `toml:"arrange"`
	Tuning  TuningSettings  `toml:"tuning"`
	Limits  CheckSettings   `toml:"check"`
	Keys    KeySettings     `toml:"keys"`
}

// ProjectSettings are what intake, build and the map share.
type ProjectSettings struct {
	Title          string         `toml:"title"`
	Artist         string         `toml:"artist"`
	RateHz         int            `toml:"rate_hz"`
	MiddleC        mapping.Naming `toml:"middle_c"`
	Layers         []string       `toml:"layers"`
	Strands        []string       `toml:"strands"`
	StrandTitles   []string       `toml:"strand_titles"`
	RequireConsent bool           `toml:"require_consent"`
	Seed           int64          `toml:"seed"`
}

// BedSettings say how long beds are and which takes they are given.
type BedSettings struct {
	LengthSec           float64 `toml:"length_sec"`
	OverlapSec          float64 `toml:"overlap_sec"`
	UsedSec             float64 `toml:"used_sec"`
	LeastTakes          int     `toml:"least_takes"`
	LeastOfManner       int     `toml:"least_of_manner"`
	MostTakes           int     `toml:"most_takes"`
	SoftBelowLoudDB     float64 `toml:"soft_below_loud_db"`
	BrightMoveSemitones float64 `toml:"bright_move_semitones"`
	SoftMoveSemitones   float64 `toml:"soft_move_semitones"`
}

// Default are the settings of a project that says nothing.
func Default() Settings {
	m := mapping.New()
	return Settings{
		Project: ProjectSettings{RateHz: m.RateHz, MiddleC: m.MiddleC, Layers: m.Layers, Strands: m.Strands,
			StrandTitles: []string{}, Seed: 1},
		Grid: mapping.DefaultGrid(),
		Beds: BedSettings{
			LengthSec: 15, OverlapSec: m.OverlapSec, LeastTakes: 4, LeastOfManner: 1, MostTakes: 8, SoftBelowLoudDB: 9,
			BrightMoveSemitones: 3, SoftMoveSemitones: 7, // common practice
		},
		Conform: DefaultConformSettings(),
		Arrange: DefaultArrange(),
		Tuning:  DefaultTuning(),
		Limits:  DefaultCheck(),
	}
}

// StrandTitle is what reports call a strand: its title, or its name where it has none.
func (s *Settings) StrandTitle(strand string) string {
	for i, name := range s.Project.Strands {
		if name == strand && i < len(s.Project.StrandTitles) && s.Project.StrandTitles[i] != "" {
			return s.Project.StrandTitles[i]
		}
	}
	return strand
}

// BedFrames is the length of each bed.
func (s *Settings) BedFrames() int { return int(s.Beds.LengthSec*float64(s.Project.RateHz) + 0.5) }

// LayerBelowLoudDB is how far a layer lies below the loudest: the quietest by SoftBelowLoudDB, those between evenly.
func (s *Settings) LayerBelowLoudDB(layer string) float64 {
	return s.Beds.SoftBelowLoudDB * s.softness(layer)
}

// softness is 1 for the quietest layer and 0 for the loudest.
func (s *Settings) softness(layer string) float64 {
	last := len(s.Project.Layers) - 1
	for i, name := range s.Project.Layers {
		if name == layer && last > 0 {
			return float64(last-i) / float64(last)
		}
	}
	return 0
}

// ForLayer are the settings by which takes become a bed of a layer: what is said of the quietest layer holds for it as
// far as it is quiet.
func (s *Settings) ForLayer(layer string) (ConformSettings, ArrangeSettings) {
	conform, arrange := s.Conform, s.Arrange
	conform.SoftTiltDB *= s.softness(layer)
	if s.softness(layer) == 0 {
		conform.DarkenMostDB = 0
	}
	arrange.SoftAttackDB *= s.softness(layer)
	arrange.TargetLUFS -= s.LayerBelowLoudDB(layer)
	arrange.CeilingDBTP -= s.LayerBelowLoudDB(layer) + arrange.SoftAttackDB
	return conform, arrange
}

// Map is the map that plays the given beds, and the roots that have no place on the grid. A root that lacks one of its
// beds is an error.
func (s *Settings) Map(beds []mapping.Bed) (m *mapping.Map, unused []int, err error) {
	m = mapping.New()
	m.RateHz, m.MiddleC = s.Project.RateHz, s.Project.MiddleC
	m.Layers, m.Strands = s.Project.Layers, s.Project.Strands
	m.StrandTitles = s.Project.StrandTitles
	m.OverlapSec, m.BedSec = s.Beds.OverlapSec, s.Beds.UsedSec
	m.Dynamics.Law, m.Dynamics.RangeLU = mapping.EvenLoudness, s.Beds.SoftBelowLoudDB
	m.Tuning = s.Tuning.forMap()
	unused, err = mapping.Generate(m, beds, s.Grid)
	return m, unused, err
}

// Take gives s the setting of a field, such as grid.ranks, from another settings, and returns its value as text.
func (s *Settings) Take(from *Settings, field string) (text string) {
	given := map[string]reflect.Value{}
	eachSetting(from, func(field string, value reflect.Value) { given[field] = value })
	eachSetting(s, func(name string, value reflect.Value) {
		if name == field {
			value.Set(given[field])
			text = fmt.Sprint(value.Interface())
		}
	})
	return text
}
