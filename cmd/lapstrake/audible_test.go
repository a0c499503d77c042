// Who stands out while one plays is who is heard in the note by the same rule, computed from the map alone.

package main

import (
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"time"

	"lapstrake/engine"
	"lapstrake/engine/audible"
	"lapstrake/engine/stream"
	"lapstrake/mapping/beds"
	"lapstrake/mapping/hearing"
	"lapstrake/mapping/takes"
)

// noteOf is a key's note as the map has it, at a velocity that changes nothing, and for each of its takes the name.
func noteOf(t *testing.T, dir string, cycles *stream.Cycles, key int, dynamics float64) (n *hearing.Note,
	powers []float64, names map[[3]int]string) {
	t.Helper()
	m := cycles.Map
	stems, err := beds.ReadStems(dir, m.BedPaths())
	if err != nil {
		t.Fatal(err)
	}
	byPath := map[string]beds.Stems{}
	for _, s := range stems {
		byPath[s.Bed] = s
	}
	gains := make([]float64, len(m.Layers))
	m.LayerGains(dynamics, gains)
	names = map[[3]int]string{}
	var all []hearing.Cycle
	for _, i := range m.ZonesAt(key) {
		zone := &m.Zones[i]
		for layer, name := range m.Layers {
			cycle := hearing.Cycle{OverlapSec: m.OverlapSec, StartTurns: m.Start(zone, key, 0),
				Ratio: math.Exp2(m.ShiftSemitones(zone, key) / 12)}
			for b, stretch := range cycles.Cycle(i, layer).Stretches() {
				of := byPath[zone.Beds[name][b]]
				sec := float64(stretch.To-stretch.From) / float64(cycles.Cycle(i, layer).RateHz)
				cycle.Beds = append(cycle.Beds, hearing.Bed{Sec: sec + m.OverlapSec, Takes: of.Courses})
				for k, take := range of.Takes {
					names[[3]int{len(all), b, k}] = takes.TakeName(take.Path, take.Stretch)
				}
			}
			all = append(all, cycle)
			gain := gains[layer] * m.ZoneGain(zone, key)
			powers = append(powers, gain*gain)
		}
	}
	return hearing.NewNote(all), powers, names
}

// clockless is an engine that is played on without a clock.
type clockless struct {
	*engine.Engine
	frame int64
}

func (p *clockless) play(frames int, events ...engine.Event) {
	list := engine.NewList(events)
	for block := make([]float32, 2*256); frames > 0; frames -= len(block) / 2 {
		p.Fill()
		p.Render(block, list)
		p.frame += int64(len(block) / 2)
	}
}

func TestAudibleAgreesWithTheNote(t *testing.T) {
	yard, err := smallYard()
	if err != nil {
		t.Fatal(err)
	}
	e, err := engine.Open(filepath.Join(yard, "map.toml"), engine.Settings{})
	if err != nil {
		t.Fatal(err)
	}
	defer e.Close()
	teller := audible.NewTeller(yard, e)
	var told *audible.Ledger
	for until := time.Now().Add(time.Minute); told == nil && time.Now().Before(until); time.Sleep(time.Millisecond) {
		if told, _, err = teller.Ledger(); err != nil {
			t.Fatal(err)
		}
	}
	// A map of another folder is told by that folder's ledger, and the first one's is kept meanwhile.
	other := t.TempDir()
	if err := os.CopyFS(other, os.DirFS(yard)); err != nil {
		t.Fatal(err)
	}
	if err := e.OpenAgainst(filepath.Join(other, "map.toml")); err != nil {
		t.Fatal(err)
	}
	e.Exchange()
	for until := time.Now().Add(time.Minute); time.Now().Before(until); time.Sleep(time.Millisecond) {
		other, number, err := teller.Ledger()
		if err != nil {
			t.Fatal(err)
		}
		if other != nil && (other == told || number != 1) {
			t.Fatalf("map %d is told by the first one's ledger", number)
		}
		if other != nil {
			break
		}
	}
	e.Exchange()
	if again, _, _ := teller.Ledger(); again != told {
		t.Error("the first map's ledger is read anew")
	}
	random := rand.New(rand.NewPCG(1, 2))
	moments, stoodOut, apart := 0, 0, 0
	p := clockless{Engine: e}
	for range 20 {
		zone := e.Map().Zones[random.IntN(len(e.Map().Zones))]
		key, dynamics := zone.Low+random.IntN(zone.High-zone.Low+1), float64(random.IntN(128))/127
		n, powers, names := noteOf(t, yard, e.Cycles(), key, dynamics)
		lacks := map[[2]int]float32{} // by take and step
		sec := 2 * n.LongestTurnSec()
		for take, m := range n.Listen(powers, sec) {
			for i, lack := range m.LackDB {
				lacks[[2]int{take, m.Steps[i]}] = lack
			}
		}
		controller := byte(e.Map().Dynamics.Controller)
		p.play(4800, engine.Control(p.frame, 0, controller, byte(math.Round(127*dynamics))))
		p.play(256, engine.NoteOn(p.frame, 0, byte(key), 127))
		var picture engine.Snapshot
		began := int64(-1)
		for range 10 {
			p.play(20_000 + random.IntN(200_000))
			if e.Snapshot(&picture); began < 0 {
				began = picture.Cycles[0].BeganFrame
			}
			step := int(math.Round(float64(picture.Frame-began) / float64(e.Map().RateHz) / hearing.StepSec))
			found := map[string]bool{}
			for _, take := range teller.Now(picture.Cycles) {
				found[take.Name] = true
			}
			moments++
			for take, in := range n.Takes {
				lack, carries := lacks[[2]int{take, step}]
				name := names[[3]int{in.Cycle, in.Bed, in.Take}]
				if carries && lack <= -3 { // by a margin: a step is a quarter of a second long
					stoodOut++
					if !found[name] {
						apart++
					}
				}
			}
		}
		p.play(4800, engine.Control(p.frame, 0, engine.ControlSoundOff, 0))
	}
	if moments != 200 || stoodOut < 200 {
		t.Errorf("%d takes stood out at %d moments", stoodOut, moments)
	}
	if apart*20 > stoodOut {
		t.Errorf("%d of %d takes that are heard in the note are not told", apart, stoodOut)
	}
}
