// A performance through exchanges, undos, reloads and choices renders to the very sound that was played.

package engine

import (
	"bytes"
	"maps"
	"path/filepath"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"lapstrake/mapping"
)

// turnsProject is a busy one whose beds are as loud as level says.
func turnsProject(t testing.TB, seed uint64, level float64) *project {
	p := newProject(t)
	p.Polyphony = 24
	one, other := p.bed("one.wav", noiseOf(seconds(0.5), seed, level)),
		p.bed("other.wav", noiseOf(seconds(0.4), seed+1, level))
	p.zone("low", 60, 0, one, other)
	p.zone("high", 66, 0.7, other, one)
	return p
}

// turnsKept keeps what an engine tells, as a player does.
type turnsKept struct {
	t     testing.TB
	out   *QueueOut
	score Score
	dir   string // of the first map
}

func (k *turnsKept) opened(o Opened) {
	text, err := o.Cycles.Map.Encode()
	if err != nil {
		k.t.Fatal(err)
	}
	path, err := filepath.Rel(k.dir, o.Path)
	if err != nil {
		k.t.Fatal(err)
	}
	k.score.Maps = append(k.score.Maps, PlayedMap{Number: o.Number, Loaded: o.Loaded,
		Sound: o.Sound, Path: path, Text: string(text), Voices: o.Voices},
		PlayedMap{Number: o.Number, Beds: map[string]string{o.Path: "its hash"}})
}

func (k *turnsKept) takeEvents() {
	for event, some := k.out.Peek(); some; event, some = k.out.Peek() {
		k.out.Pop()
		k.score.Events = append(k.score.Events, event)
	}
}

// turn is one thing that a person does while playing, and how long it is until the next one.
type turn struct {
	kind, facet, member, headroom int
	on                            bool
	cells, fillEvery              int
}

// drawTurns draws what a person does.
func drawTurns(t *rapid.T) []turn {
	return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) turn {
		return turn{rapid.IntRange(0, 9).Draw(t, "kind"), rapid.IntRange(0, 3).Draw(t, "facet"),
			rapid.IntRange(0, 1).Draw(t, "member"), rapid.IntRange(0, 12).Draw(t, "headroom"),
			rapid.Bool().Draw(t, "on"), rapid.IntRange(1, 80).Draw(t, "cells"), rapid.IntRange(1, 20).Draw(t, "fill")}
	}), 20, 30).Draw(t, "turns")
}

// Whatever is exchanged, taken back, loaded anew, followed or alone, struck in between, with reads that come at
// another time: the score, written and read, and its maps alone give the same bytes.
func TestTurnsRenderToWhatWasPlayed(t *testing.T) {
	first, other := turnsProject(t, 1, 0.1), turnsProject(t, 5, 0.2)
	other.HeadroomDB = 3
	other.save()
	type evening struct {
		events []Event
		turns  []turn
	}
	evenings := rapid.Custom(func(t *rapid.T) evening { return evening{drawEvents(t, seconds(1.5)), drawTurns(t)} })
	for seed := range 4 { // each measures the loudness of maps, which takes a second
		drawn := evenings.Example(seed)
		score, played := playTurns(t, first, other, drawn.events, drawn.turns)
		requireGuided(t, first.dir, score, played)
	}
}

// playTurns plays as a person does, and keeps the score in a file.
func playTurns(t *testing.T, first, other *project, events []Event, turns []turn) (score Score, played []float32) {
	t.Helper()
	kept := &turnsKept{t: t, dir: first.dir}
	in, out := NewQueue(1 << 12)
	kept.out = out
	first.HeadroomDB = 0
	e := first.open(Settings{Applied: []*QueueIn{in}, Opened: kept.opened, MostVoices: 30})
	if err := e.OpenAgainst(other.path()); err != nil {
		t.Fatal(err)
	}
	list := NewList(events)
	fill := 0
	for _, turn := range turns {
		switch turn.kind {
		case 0, 7:
			e.Exchange()
		case 1:
			_ = e.Undo() // there may be nothing to go back to
		case 2:
			first.HeadroomDB = float64(turn.headroom)
			first.save()
			if err := e.Reload(first.path()); err != nil {
				t.Fatal(err)
			}
		case 3:
			e.Follow(turn.on)
		case 4:
			e.StrikeAgain()
		case 8, 9:
			zone := e.Map().Zones[turn.member].Name()
			if err := e.Nudge(map[mapping.ZoneName]mapping.Nudge{zone: {Start: float64(turn.headroom) / 16,
				LevelDB: -float64(turn.headroom), TuneCents: float64(turn.facet)}}); err != nil {
				t.Fatal(err)
			}
		case 5:
			e.SetAlone(Facet(turn.facet), turn.member, turn.on)
		case 6:
			e.SetSilent(Facet(turn.facet), turn.member, turn.on)
		}
		for range turn.cells {
			if fill%turn.fillEvery == 0 { // a ring holds more
				e.Fill()
			}
			fill++
			block := make([]float32, 2*CellFrames)
			e.Render(block, list)
			played = append(played, block...)
			kept.takeEvents()
		}
	}
	if misses := e.Stats().Misses; misses > 0 {
		t.Fatalf("%d late reads", misses)
	}
	kept.score.Frames = e.frame
	var file bytes.Buffer
	if err := WriteScore(&file, kept.score, testRateHz); err != nil {
		t.Fatal(err)
	}
	score, err := ParseScore(&file, "evening.mid", testRateHz)
	if err != nil || !slices.Equal(score.Events, kept.score.Events) {
		t.Fatalf("%d of %d events came back, %v", len(score.Events), len(kept.score.Events), err)
	}
	return score, played
}

// requireGuided wants a score to render by its own maps to what was played.
func requireGuided(t *testing.T, dir string, score Score, played []float32) {
	t.Helper()
	all := score.MapsPlayed()
	for number, m := range all {
		if m.Path == "" || m.Voices != 30 || !slices.Equal(slices.Collect(maps.Values(m.Beds)), []string{"its hash"}) {
			t.Fatalf("map %d came back as %q, %d voices, beds %v", number, m.Path, m.Voices, m.Beds)
		}
	}
	parse := func(number int) (GuidedMap, error) {
		m, err := mapping.Parse([]byte(all[number].Text), "map")
		return GuidedMap{m, filepath.Join(dir, filepath.Dir(all[number].Path)), all[number].Loaded, all[number].Sound},
			err
	}
	m, err := parse(0)
	if err != nil {
		t.Fatal(err)
	}
	e, err := OpenMap(m.Map, dir, Settings{MemoryBytes: 24 << 20, MostVoices: all[0].Voices})
	if err != nil {
		t.Fatal(err)
	}
	defer e.Close()
	e.Guide(parse)
	list := NewList(score.Events)
	const block = 512
	got := make([]float32, 0, len(played))
	for len(got) < len(played) {
		e.Fill()
		next := make([]float32, min(block, len(played)-len(got)))
		e.Render(next, list)
		if err := e.ReadError(); err != nil {
			t.Fatal(err)
		}
		got = append(got, next...)
	}
	for i := range got {
		if got[i] != played[i] {
			t.Fatalf("frame %d of %d: %v was played, %v is rendered", i/2, len(got)/2, played[i], got[i])
		}
	}
	if misses := e.Stats().Misses; misses > 0 {
		t.Fatalf("%d late reads in the render", misses)
	}
}
