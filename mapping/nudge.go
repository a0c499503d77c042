// Nudges: what a person changes about single zones while they play.

package mapping

import (
	"fmt"
	"slices"

	"lapstrake/mapping/sound"
)

// Nudge is what can be tried of a zone while it plays, and kept.
type Nudge struct {
	Start     float64 `json:"start"`      // where in the cycle a note begins, in turns, 0 ≤ start < 1
	LevelDB   float64 `json:"level_db"`   // beside the other zones, LeastNudgeDB to MostNudgeDB
	TuneCents float64 `json:"tune_cents"` // above what tuning and root say, −MostNudgeCents to MostNudgeCents
	Silent    bool    `json:"silent"`     // the zone turns unheard
}

// How far a zone can be nudged.
const (
	LeastNudgeDB   = -40
	MostNudgeDB    = 12
	MostNudgeCents = 100
)

// ZoneName names a zone: by what it is called when all else about it changes.
type ZoneName struct {
	Rank string `json:"rank"`
	Root int    `json:"root"`
}

// Name is the name of the zone.
func (z *Zone) Name() ZoneName { return ZoneName{z.Rank, z.Root} }

// Nudge is how the zone is nudged.
func (z *Zone) Nudge() Nudge { return Nudge{z.Start, z.LevelDB, z.TuneCents, z.Silent} }

// NudgeGain is what its nudge makes of the zone's level, as a gain: 0 where it is silent.
func (z *Zone) NudgeGain() float64 {
	switch {
	case z.Silent:
		return 0
	case z.LevelDB == 0:
		return 1
	}
	return sound.DBToAmplitude(z.LevelDB)
}

// ZoneNamed is the index of a zone; −1 where the map has none of that name, or more than one.
func (m *Map) ZoneNamed(name ZoneName) int {
	at := -1
	for i := range m.Zones {
		if m.Zones[i].Name() != name {
			continue
		}
		if at >= 0 {
			return -1
		}
		at = i
	}
	return at
}

// Nudged is a copy of the map with some zones nudged; names that it does not have are left out. A nudge that cannot be
// is an error.
func (m *Map) Nudged(nudges map[ZoneName]Nudge) (*Map, error) {
	nudged := *m
	nudged.Zones = slices.Clone(m.Zones)
	for name, to := range nudges {
		if at := m.ZoneNamed(name); at >= 0 {
			nudged.Zones[at].take(to)
		}
	}
	if err := nudged.Check(); err != nil {
		return nil, err
	}
	return &nudged, nil
}

// take nudges the zone. A start that moves is a person's from then on.
func (z *Zone) take(to Nudge) {
	z.StartKept = z.StartKept || z.Start != to.Start
	z.Start, z.LevelDB, z.TuneCents, z.Silent = to.Start, to.LevelDB, to.TuneCents, to.Silent
}

// takeNudges takes over the nudges that a map from before had. It tells how many zones had any, and which of them have
// no place any more.
func (m *Map) takeNudges(before *Map) (taken int, lost []string) {
	for i := range before.Zones {
		old := &before.Zones[i]
		if !old.StartKept && old.LevelDB == 0 && old.TuneCents == 0 && !old.Silent {
			continue
		}
		at := m.ZoneNamed(old.Name())
		if at < 0 {
			lost = append(lost, fmt.Sprintf("rank %s, root %d (%s)", old.Rank, old.Root, m.MiddleC.Name(old.Root)))
			continue
		}
		z, to := &m.Zones[at], old.Nudge()
		if !old.StartKept {
			to.Start = z.Start
		}
		z.take(to)
		z.StartKept = old.StartKept
		taken++
	}
	return taken, lost
}
