// Package mapping describes a playable instrument made of endless cycles: which
// zones a key sounds, from which root, on which beds, beginning where in the
// cycle. It reads, checks, generates and saves map.toml and knows when a held
// chord comes back. It holds no audio.
package mapping

import (
	"fmt"
	"math"
	"slices"
)

// FileName is the name of the map inside a project folder.
const FileName = "map.toml"

// Version is the version of the map's format that this package reads and writes.
const Version = 1

// Map is everything a player needs: the content of map.toml.
type Map struct {
	Version        int      `toml:"version"`
	RateHz         int      `toml:"rate_hz" comment:"frames a second that the player runs at; beds of other rates are converted while playing"`
	MiddleC        Naming   `toml:"middle_c" comment:"the name of key 60 when keys are printed; keys in this file are numbers"`
	Layers         []string `toml:"layers" comment:"dynamic layers, the quietest first"`
	Strands        []string `toml:"strands" comment:"the beds of a cycle, in their order"`
	StrandTitles   []string `toml:"strand_titles,omitempty" comment:"what people read for the strands, in the same order"`
	BedSec         float64  `toml:"bed_sec" comment:"seconds used of each bed, from its top; 0 takes every bed whole"`
	OverlapSec     float64  `toml:"overlap_sec" comment:"seconds of crossfade at each join, the last into the first included"`
	AttackSec      float64  `toml:"attack_sec" comment:"seconds from silence to full level"`
	ReleaseSec     float64  `toml:"release_sec" comment:"seconds in which a released note falls by 60 dB"`
	VelocityAmount float64  `toml:"velocity_amount" comment:"0: every note equally loud; 1: level in dB is 40 log10(velocity/127)"`
	BendSemitones  float64  `toml:"bend_range_semitones"`
	Polyphony      int      `toml:"polyphony" comment:"cycles that may sound at once; a key of the default grid sounds four"`
	HeadroomDB     float64  `toml:"headroom_db" comment:"how far below its beds' own level a single cycle plays, so that chords fit"`
	SeamFadeDB     float64  `toml:"seam_fade_db" comment:"how far each rank falls towards its own seams, while the others carry; 0: all ranks are equally loud on every key"`

	Dynamics Dynamics `toml:"dynamics"`
	Volume   Volume   `toml:"volume"`
	Stagger  Stagger  `toml:"stagger"`
	Tuning   *Tuning  `toml:"tuning,omitempty"` // nil: equal semitones, key 69 at 440 Hz (ISO 16)
	Zones    []Zone   `toml:"zones" comment:"each zone: a rank; the key of its root; the keys it serves; where in its cycle a note begins, in turns; its beds"`
}

// Dynamics is the crossfade between the layers under one controller.
type Dynamics struct {
	Controller   int     `toml:"controller" comment:"MIDI controller that moves from the first layer to the last; below 32, its fine twin is 32 higher"`
	Law          Law     `toml:"law" comment:"even-loudness for unrelated layers whose levels are known, equal-power where they are not, equal-gain for related ones"`
	RangeLU      float64 `toml:"range_lu,omitempty" comment:"LU from the first layer to the last, for even-loudness"`
	By           MovedBy `toml:"by,omitempty" comment:"what moves it: controller; pressure, each note by its own; or both, pressure going on from where the controller stands"`
	SmoothingSec float64 `toml:"smoothing_sec" comment:"two low-passes of one pole in a row, each with half of that for its time constant, so that no step of the controller is heard"`
	Initial      int     `toml:"initial" comment:"controller value before it is first moved"`
}

// MovedBy says what moves the dynamics; empty is the same as MovedByController.
type MovedBy string

// What may move the dynamics: the controller alone; the pressure of each key (its own, or its channel's) alone; or the
// controller, and pressure from there up to the last layer.
const (
	MovedByController MovedBy = ""
	MovedByPressure   MovedBy = "pressure"
	MovedByBoth       MovedBy = "both"
)

// Volume names the controllers that set the level: each 40 log10(value/127) dB
// (General MIDI 2; DLS 2.2), all of them together.
type Volume struct {
	Controllers []int `toml:"controllers"`
}

// How slowly volume and pitch wheel follow their messages, as Dynamics.SmoothingSec has it for the dynamics: through
// two equal one-pole low-passes in a row, each with half of that for its time constant.
const (
	VolumeSmoothingSec = 0.02
	BendSmoothingSec   = 0.004
)

// Law is the crossfade law between two layers.
type Law string

// The laws. EqualPower keeps g1²+g2² at 1, EqualGain keeps g1+g2 at 1. EvenLoudness raises the loudness of both
// together evenly with the controller, while their shares of it pass from one to the other, half of them before the
// controller is half-way: so half of the timbre's change is done there. Where the upper layer is much louder,
// EqualPower has it sound alone before.
const (
	EqualPower   Law = "equal-power"
	EqualGain    Law = "equal-gain"
	EvenLoudness Law = "even-loudness"
)

// evenShare bends the way of the shares under EvenLoudness: tried on two projects, by the half of the timbre's change.
const evenShare = 0.8

// Laws lists them.
var Laws = []Law{EvenLoudness, EqualPower, EqualGain}

// Zone is a key range that is played from one root.
type Zone struct {
	Rank  string  `toml:"rank"`
	Root  int     `toml:"root"` // key at which the cycle sounds unshifted
	Low   int     `toml:"low"`
	High  int     `toml:"high"`
	Start float64 `toml:"start"` // where in the cycle a note begins, in turns, 0 ≤ start < 1
	// Nudges (see Nudge): omitted where there are none
	StartKept bool    `toml:"start_kept,omitempty"` // a person chose the start: builds leave it
	LevelDB   float64 `toml:"level_db,omitempty"`
	TuneCents float64 `toml:"tune_cents,omitempty"`
	Silent    bool    `toml:"silent,omitempty"`
	// for each layer its beds in the order of the strands, as paths from the map's folder
	Beds map[string][]string `toml:"beds,inline"`
}

// Holds says whether the zone sounds at key.
func (z Zone) Holds(key int) bool { return z.Low <= key && key <= z.High }

// ShiftSemitones is how far zone z is played above its root at key, without bend; below it is negative. A bed has the
// pitch that its root has in ISO 16, whatever the tuning. It is the one place that says how keys are tuned.
func (m *Map) ShiftSemitones(z *Zone, key int) float64 {
	return m.Pitch(key) - float64(z.Root) + z.TuneCents/100
}

// StrandTitle is what people read for a strand, given by its place in Strands: its title, or its name where it has
// none.
func (m *Map) StrandTitle(strand int) string {
	if strand < len(m.StrandTitles) && m.StrandTitles[strand] != "" {
		return m.StrandTitles[strand]
	}
	return m.Strands[strand]
}

// ZonesAt returns the indices of the zones that sound at key, in the map's order: those that hold it or, where zones
// go by pitch, those that hold the key nearest to its pitch; none that is silent.
func (m *Map) ZonesAt(key int) []int {
	return slices.DeleteFunc(m.ZonesUnder(key), func(zone int) bool { return m.Zones[zone].Silent })
}

// ZonesUnder returns the same with those that are silent.
func (m *Map) ZonesUnder(key int) []int {
	var at []int
	held := int(math.Round(m.place(key)))
	for i := range m.Zones {
		if m.Zones[i].Holds(held) {
			at = append(at, i)
		}
	}
	return at
}

// MostZones is how many zones a key sounds at most, silent ones counted.
func (m *Map) MostZones() (most int) {
	var begin, end [HighestKey + 1]int // zones that begin and end at a key
	for i := range m.Zones {
		begin[m.Zones[i].Low]++
		end[m.Zones[i].High]++
	}
	now := 0
	for key := range begin {
		now += begin[key]
		most = max(most, now)
		now -= end[key]
	}
	return most
}

// Ranks lists the names of the ranks, each once, in the order of their first zones.
func (m *Map) Ranks() (names []string) {
	for _, zone := range m.Zones {
		if !slices.Contains(names, zone.Rank) {
			names = append(names, zone.Rank)
		}
	}
	return names
}

// BedPaths lists the beds of the map, each once, as paths from its folder.
func (m *Map) BedPaths() (paths []string) {
	for _, zone := range m.Zones {
		for _, layer := range m.Layers {
			for _, bed := range zone.Beds[layer] {
				if !slices.Contains(paths, bed) {
					paths = append(paths, bed)
				}
			}
		}
	}
	return paths
}

// New returns a map with the defaults and no zones.
func New() *Map {
	return &Map{
		Version:       Version,
		RateHz:        48000,
		MiddleC:       MiddleC4,
		Layers:        []string{"soft", "loud"},
		Strands:       []string{"a", "b"},
		OverlapSec:    1,
		AttackSec:     0.05,
		ReleaseSec:    2,
		BendSemitones: 2,
		Polyphony:     256,
		HeadroomDB:    12,
		Dynamics:      Dynamics{Controller: 1, Law: EqualPower, SmoothingSec: 0.03, Initial: 64},
		Volume:        Volume{Controllers: []int{7, 11}},
		Stagger:       Stagger{By: ByZone},
	}
}

// LayerGains returns the gain of each layer, quietest first, at a dynamics value
// from 0 to 1. At most two neighbouring layers sound at once; the ends are exact. EvenLoudness raises the lower
// one on its way out: by 1.1 dB at most where they are 9 LU apart.
func (m *Map) LayerGains(value float64, gains []float64) {
	clear(gains)
	last := len(gains) - 1
	at := min(max(value, 0), 1) * float64(last)
	lower := min(int(at), max(last-1, 0))
	part := at - float64(lower)
	switch {
	case last <= 0 || part <= 0:
		gains[lower] = 1
	case part >= 1:
		gains[lower+1] = 1
	case m.Dynamics.Law == EqualGain:
		gains[lower], gains[lower+1] = 1-part, part
	case m.Dynamics.Law == EvenLoudness:
		gains[lower+1], gains[lower] = math.Sincos(math.Pow(part, evenShare) * math.Pi / 2)
		stepLU := m.Dynamics.RangeLU / float64(last)
		gains[lower] *= math.Pow(10, stepLU*part/20)
		gains[lower+1] *= math.Pow(10, stepLU*(part-1)/20)
	default:
		gains[lower+1], gains[lower] = math.Sincos(part * math.Pi / 2)
	}
}

// LawFormula is what LayerGains computes, in words and signs of ASCII: the gains of two neighbouring layers.
func (m *Map) LawFormula() string {
	last := len(m.Layers) - 1
	if last == 0 {
		return "there is one layer, with gain 1"
	}
	at := "p = value/127"
	if last > 1 {
		at = fmt.Sprintf("%d*value/127 = n + p, n whole, p below 1: layers n and n+1 counted from 0", last)
	}
	lower, upper := "cos(p*pi/2)", "sin(p*pi/2)"
	switch m.Dynamics.Law {
	case EqualGain:
		lower, upper = "1 - p", "p"
	case EvenLoudness:
		stepLU := m.Dynamics.RangeLU / float64(last)
		lower = fmt.Sprintf("cos(p^%v*pi/2) * 10^(%.6g*p/20)", evenShare, stepLU)
		upper = fmt.Sprintf("sin(p^%v*pi/2) * 10^(%.6g*(p-1)/20)", evenShare, stepLU)
	}
	return fmt.Sprintf("%s; lower layer %s; upper layer %s", at, lower, upper)
}
