// The score by which an export is proved elsewhere: it tries layers, fade, volume, wheel, release, seams and loop.

package main

import (
	"bytes"
	"math"
	"slices"
	"strconv"

	"lapstrake/engine"
	"lapstrake/engine/show"
	"lapstrake/mapping"
	"lapstrake/mapping/compare"
	"lapstrake/mapping/export"
)

// trialPlayer plays at the best quality that there is.
var trialPlayer = playerOptions{quality: "best", memoryMB: engine.DefaultMemoryBytes >> 20}

// trial is the score that tries a map, as the export takes it.
func trial(m *mapping.Map, project string, cycles export.Cycles) (*export.Performance, error) {
	t := trialScore{m: m, rateHz: m.RateHz}
	t.compose(cycles)
	score := engine.Score{Events: t.events, Frames: t.at}
	var text bytes.Buffer
	if err := engine.WriteScore(&text, score, m.RateHz); err != nil {
		return nil, err
	}
	performed := show.Performance{Events: show.LetGo(score.Events, score.Frames), TailSec: 2 * m.ReleaseSec}
	return &export.Performance{
		Score: text.Bytes(), RateHz: m.RateHz, Frames: score.Frames + t.frames(performed.TailSec),
		Sections: t.sections,
		Play: func(take func(frames []float32) error) (err error) {
			performed := performed
			if performed.Engine, err = trialPlayer.openPlayer(project); err != nil {
				return err
			}
			defer performed.Engine.Close()
			_, err = performed.Play(take, nil)
			return err
		},
	}, nil
}

// trialScore is a score under way.
type trialScore struct {
	m        *mapping.Map
	rateHz   int
	at       int64 // in frames
	events   []engine.Event
	sections []compare.Section
}

func (t *trialScore) frames(sec float64) int64 { return int64(math.Round(sec * float64(t.rateHz))) }

func (t *trialScore) wait(sec float64) { t.at += t.frames(sec) }

func (t *trialScore) control(number, value int) {
	t.events = append(t.events, engine.Control(t.at, 0, byte(number), byte(value)))
}

func (t *trialScore) press(keys ...int) {
	for _, key := range keys {
		t.events = append(t.events, engine.NoteOn(t.at, 0, byte(key), 100))
	}
}

func (t *trialScore) lift(keys ...int) {
	for _, key := range keys {
		t.events = append(t.events, engine.NoteOff(t.at, 0, byte(key)))
	}
}

// try waits, and notes what is tried meanwhile.
func (t *trialScore) try(name string, try compare.Try, layer string, sec float64) {
	from := t.sec()
	t.wait(sec)
	t.note(name, try, layer, from)
}

func (t *trialScore) sec() float64 { return float64(t.at) / float64(t.rateHz) }

// note notes what was tried until now.
func (t *trialScore) note(name string, try compare.Try, layer string, fromSec float64) {
	t.sections = append(t.sections, compare.Section{Name: name, Try: try, Layer: layer,
		FromSec: fromSec, ToSec: t.sec()})
}

// longestLoopSec is how long a cycle is held at most.
const longestLoopSec = 60

func (t *trialScore) compose(cycles export.Cycles) {
	const settle = 0.5 // until controllers and attacks have settled
	m := t.m
	chord := t.chord()
	t.control(m.Dynamics.Controller, 0)
	for _, number := range m.Volume.Controllers {
		t.control(number, 127)
	}
	t.wait(settle)
	t.press(chord...)
	last := len(m.Layers) - 1
	for layer, name := range m.Layers {
		t.control(m.Dynamics.Controller, int(math.Round(127*float64(layer)/float64(max(last, 1)))))
		t.wait(settle + m.AttackSec)
		t.try(name+" alone", compare.TryLayer, name, 2)
	}
	if last > 0 {
		const values, sec = 128, 4.0
		from := t.sec()
		for value := values - 1; value >= 0; value-- {
			t.control(m.Dynamics.Controller, value)
			t.wait(sec / values)
		}
		t.note("fade", compare.TryFade, "", from)
	}
	t.control(m.Dynamics.Controller, m.Dynamics.Initial)
	t.wait(settle)
	t.try("dynamics where they begin", compare.TrySteady, "", 1)
	for _, number := range m.Volume.Controllers {
		t.control(number, 64)
		t.wait(settle)
		t.try("volume on controller "+strconv.Itoa(number), compare.TryVolume, "", 1)
		t.control(number, 127)
	}
	t.wait(settle)
	t.events = append(t.events, engine.Bend(t.at, 0, engine.BendCentre+4096)) // half-way up
	t.wait(settle)
	t.try("wheel half-way up", compare.TryBend, "", 2)
	t.events = append(t.events, engine.Bend(t.at, 0, engine.BendCentre))
	t.wait(settle)
	t.lift(chord...)
	t.try("release", compare.TryRelease, "", min(m.ReleaseSec, 3))
	t.wait(max(2*m.ReleaseSec-3, settle))
	t.keys()
	t.loop(cycles)
}

// chord is three keys about the middle of those that sound, or as many of them as do.
func (t *trialScore) chord() (keys []int) {
	var sounding []int
	for key := mapping.LowestKey; key <= mapping.HighestKey; key++ {
		if len(t.m.ZonesAt(key)) > 0 {
			sounding = append(sounding, key)
		}
	}
	middle := sounding[len(sounding)/2]
	for _, key := range []int{middle, middle + 4, middle + 7} {
		if slices.Contains(sounding, key) {
			keys = append(keys, key)
		}
	}
	return keys
}

// keys strikes the lowest and the highest key of each zone.
func (t *trialScore) keys() {
	const eachSec = 0.5
	var keys []int
	for _, zone := range t.m.Zones {
		keys = append(keys, zone.Low, zone.High)
	}
	slices.Sort(keys)
	from := t.sec()
	for _, key := range slices.Compact(keys) {
		t.press(key)
		t.wait(eachSec)
		t.lift(key)
	}
	t.note("both ends of each zone", compare.TryKeys, "", from)
	t.wait(t.m.ReleaseSec)
}

// loop holds the key whose cycles are over first for somewhat longer than they last; where that is too long, it is
// left out.
func (t *trialScore) loop(cycles export.Cycles) {
	best, least := -1, math.Inf(1)
	for key := mapping.LowestKey; key <= mapping.HighestKey; key++ {
		longest := 0.0
		for _, zone := range t.m.ZonesAt(key) {
			for layer := range t.m.Layers {
				cycle := cycles(zone, layer)
				longest = max(longest, cycle.Seconds(t.m.ShiftSemitones(&t.m.Zones[zone], key)))
			}
		}
		if longest > 0 && longest < least {
			best, least = key, longest
		}
	}
	if least > longestLoopSec {
		t.wait(1)
		return
	}
	t.press(best)
	t.wait(t.m.AttackSec)
	t.try("a loop held beyond its end", compare.TryLoop, "", least+2)
	t.lift(best)
	t.wait(t.m.ReleaseSec)
}
