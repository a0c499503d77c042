// Package audible tells whose takes stand out now, among all that a player sounds.
package audible

import (
	"cmp"
	"slices"

	"lapstrake/engine"
	"lapstrake/engine/stream"
	"lapstrake/mapping"
	"lapstrake/mapping/beds"
	"lapstrake/mapping/hearing"
	"lapstrake/mapping/takes"
)

// Take is a take that stands out.
type Take struct {
	Name        string // as the sheet has it: its path, and its stretch where it is not the whole file
	Title       string // as the sheet has it, or ""
	Contributor string // "" where the sheet names none
	Credit      string // the credit line, or ""
	Cycle       int    // index in what sounds
	Bed         int    // of the cycle, 0 the first
	ByDB        float64
	Sones       float64 // how loud it is within all the others
}

// Who is whom people read: the credit line, else the contributor, else the take's name.
func (t *Take) Who() string { return cmp.Or(t.Credit, t.Contributor, t.Name) }

// Ledger knows what the takes of a map's beds excite, and when. It does not change once it is read.
type Ledger struct {
	// Unknown are the beds of which nobody kept what their takes excite: brought or edited by hand, or of an early
	// version. None of their takes is told, and to others they are silent.
	Unknown []string

	rateHz int // of the player
	layers int
	cycles []known // zone-major
}

// known is one zone's cycle of one layer.
type known struct {
	hearing.Cycle
	ownSec    float64 // of a turn, in the beds' own time
	meanPower float64
	beds      []*beds.Stems
}

// Read reads what a build kept of the beds of some cycles, in the project folder dir. It takes a second for an
// instrument of 64 beds.
func Read(dir string, cycles *stream.Cycles) (*Ledger, error) {
	m := cycles.Map
	stems, err := beds.ReadStems(dir, m.BedPaths())
	if err != nil {
		return nil, err
	}
	l := &Ledger{rateHz: m.RateHz, layers: len(m.Layers)}
	byPath := map[string]*beds.Stems{}
	for i := range stems {
		byPath[stems[i].Bed] = &stems[i]
		if stems[i].Courses == nil {
			l.Unknown = append(l.Unknown, stems[i].Bed)
		}
	}
	for z := range m.Zones {
		for layer := range m.Layers {
			l.cycles = append(l.cycles, know(m, cycles.Cycle(z, layer), m.Zones[z].Beds[m.Layers[layer]], byPath))
		}
	}
	return l, nil
}

// know puts together what is known of a cycle.
func know(m *mapping.Map, cycle *stream.Cycle, paths []string, byPath map[string]*beds.Stems) known {
	k := known{Cycle: hearing.Cycle{OverlapSec: m.OverlapSec}, ownSec: float64(cycle.Frames) / float64(cycle.RateHz)}
	for i, stretch := range cycle.Stretches() {
		stems := byPath[paths[i]]
		k.beds = append(k.beds, stems)
		k.Beds = append(k.Beds, hearing.Bed{
			Sec: float64(stretch.To-stretch.From)/float64(cycle.RateHz) + m.OverlapSec, Takes: stems.Courses,
		})
	}
	k.meanPower = k.MeanPower()
	return k
}

// Now lists the takes that stand out of what sounds, the loudest first. All cycles have to be of the ledger's map.
func (l *Ledger) Now(sounding []engine.SoundingCycle) []Take {
	playing := make([]hearing.Playing, len(sounding))
	meanPower := 0.0
	for i := range sounding {
		c := &sounding[i]
		k := l.of(c)
		power := float64(c.Gain) * float64(c.Gain)
		playing[i] = hearing.Playing{Cycle: k.Cycle, Power: power}
		playing[i].StartTurns = float64(c.AtFrame) / float64(c.CycleFrames)
		turnSec := float64(c.CycleFrames) * mapping.OneFrame / float64(c.Step) / float64(l.rateHz)
		playing[i].Ratio = k.ownSec / turnSec
		meanPower += power * k.meanPower
	}
	var all []Take
	for _, s := range hearing.StandOut(playing, meanPower) {
		stems := l.of(&sounding[s.Cycle]).beds[s.Bed]
		take, row := &stems.Takes[s.Take], &stems.Rows[s.Take]
		all = append(all, Take{Name: takes.TakeName(take.Path, take.Stretch), Title: row.Title,
			Contributor: row.Contributor, Credit: row.CreditLine(), Cycle: s.Cycle, Bed: s.Bed,
			ByDB: s.ByDB, Sones: s.Sones})
	}
	return all
}

// of is the cycle that sounds.
func (l *Ledger) of(c *engine.SoundingCycle) *known { return &l.cycles[c.Zone*l.layers+c.Layer] }

// Beds lists the beds that a take is in, as the map names them, each once, in the map's order.
func (l *Ledger) Beds(name string) (paths []string) {
	for i := range l.cycles {
		for _, stems := range l.cycles[i].beds {
			holds := func(take beds.TakeInBed) bool { return takes.TakeName(take.Path, take.Stretch) == name }
			if slices.ContainsFunc(stems.Takes, holds) && !slices.Contains(paths, stems.Bed) {
				paths = append(paths, stems.Bed)
			}
		}
	}
	return paths
}
