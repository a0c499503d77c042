// Who stands out while one plays is, at most moments, who the ledger says stands out there.

package main

import (
	"math/rand/v2"
	"path"
	"path/filepath"
	"slices"
	"testing"

	"lapstrake/engine"
	"lapstrake/engine/audible"
	"lapstrake/engine/stream"
	"lapstrake/mapping"
	"lapstrake/mapping/beds"
	"lapstrake/mapping/ledger"
	"lapstrake/mapping/project"
)

func TestNowAgreesWithTheLedger(t *testing.T) {
	yard, err := smallYard()
	if err != nil {
		t.Fatal(err)
	}
	e, err := engine.Open(filepath.Join(yard, mapping.FileName), engine.Settings{})
	if err != nil {
		t.Fatal(err)
	}
	defer e.Close()
	teller, err := audible.Read(yard, e.Cycles())
	if err != nil {
		t.Fatal(err)
	}
	random := rand.New(rand.NewPCG(3, 4))
	heard := readLedger(t, yard)
	p := clockless{Engine: e}
	var agreed agreement
	for range 20 {
		zone := e.Map().Zones[random.IntN(len(e.Map().Zones))]
		key, dynamics := zone.Low+random.IntN(zone.High-zone.Low+1), ledger.Dynamics[random.IntN(len(ledger.Dynamics))]
		p.play(4800, engine.Control(p.frame, 0, byte(e.Map().Dynamics.Controller), byte(dynamics)))
		p.play(256, engine.NoteOn(p.frame, 0, byte(key), 127))
		for range 10 {
			p.play(20_000 + random.IntN(100_000))
			var picture engine.Snapshot
			e.Snapshot(&picture)
			told := map[[2]string]bool{}
			for _, take := range teller.Now(picture.Cycles) {
				told[[2]string{bedOf(e.Map(), picture.Cycles[take.Cycle], take.Bed), take.Name}] = true
			}
			agreed.add(e.Cycles(), picture.Cycles, heard, dynamics, told)
		}
		p.play(4800, engine.Control(p.frame, 0, engine.ControlSoundOff, 0))
	}
	agreed.check(t)
}

// readLedger gives the stretches of heard.csv by bed, place in the bed and dynamics.
func readLedger(t *testing.T, dir string) map[written][]ledger.Stretch {
	t.Helper()
	heard, err := beds.ReadHeard(filepath.Join(dir, project.HeardFile))
	if err != nil {
		t.Fatal(err)
	}
	all := map[written][]ledger.Stretch{}
	for _, take := range heard {
		for _, b := range take.Beds {
			for _, at := range b.At {
				all[written{path.Join(project.BedsFolder, b.Bed), take.Name(), at.Dynamics}] = at.Stretches
			}
		}
	}
	return all
}

// written is a cell of the ledger.
type written struct {
	bed, take string
	dynamics  int
}

// agreement counts the takes whose beds carry their cycles, by whether the ledger has them stand out there; of each,
// how many are told.
type agreement struct{ inside, insideTold, outside, outsideTold int }

func (a *agreement) add(cycles *stream.Cycles, sounding []engine.SoundingCycle, heard map[written][]ledger.Stretch,
	dynamics int, told map[[2]string]bool) {
	for _, c := range sounding {
		if c.Gain < 1e-4 {
			continue
		}
		cycle, m := cycles.Cycle(c.Zone, c.Layer), cycles.Map
		for i, s := range cycle.Stretches() {
			pos := c.AtFrame
			if pos >= s.From+cycle.Frames {
				pos -= cycle.Frames
			}
			if pos < s.From || pos >= s.To {
				continue
			}
			bed := bedOf(m, c, i)
			sec := float64(pos-s.From)/float64(cycle.RateHz) + m.OverlapSec/2
			for cell, stretches := range heard {
				if cell.bed != bed || cell.dynamics != dynamics {
					continue
				}
				count, toldToo := &a.outside, &a.outsideTold
				if slices.ContainsFunc(stretches,
					func(s ledger.Stretch) bool { return s.FromSec <= sec && sec < s.ToSec }) {
					count, toldToo = &a.inside, &a.insideTold
				}
				*count++
				if told[[2]string{bed, cell.take}] {
					*toldToo++
				}
			}
		}
	}
}

// bedOf is the path of a bed of a cycle that sounds.
func bedOf(m *mapping.Map, c engine.SoundingCycle, bed int) string {
	return m.Zones[c.Zone].Beds[m.Layers[c.Layer]][bed]
}

// check wants most of those told that the ledger has standing out, and few of the others: a stretch is what holds for
// most of a bed's keys and of the ways in which cycles meet, a moment is one of them.
func (a *agreement) check(t *testing.T) {
	t.Helper()
	inside := float64(a.insideTold) / float64(max(a.inside, 1))
	outside := float64(a.outsideTold) / float64(max(a.outside, 1))
	t.Logf("in stretches of the ledger %.0f %% of %d are told, outside of them %.0f %% of %d", 100*inside, a.inside,
		100*outside, a.outside)
	if a.inside < 200 || inside < 0.8 || outside > 0.2 {
		t.Errorf("who is told now agrees too little with the ledger")
	}
}
