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

// turnsProject is a busy one that still plays on beds of 0.5 s, and as loud as level says.
func turnsProject(t testing.TB, seed uint64, level float64) *project {
	p := newProject(t)
	p.Polyphony = 24
	one, other := p.bed("one.wav", noiseOf(seconds(0.5), seed, level)), p.bed("other.wav", noiseOf(seconds(0.4), seed+1, level))
	p.zone("low", 60, 0, one, other)
	p.zone("high", 66, 0.7, other, one)
	return p
}

// recording keeps what an engine tells, as a player does.
type turnsKept struct {
	t     *rapid.T
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
	k.score.Maps = append(k.score.Maps, PlayedMap{Number: o.Number, Path: path, Text: string(text), Voices: o.Voices},
		PlayedMap{Number: o.Number, Beds: map[string]string{o.Path: "its hash"}})
}

func (k *turnsKept) takeEvents() {
	for event, some := k.out.Peek(); some; event, some = k.out.Peek() {
		k.out.Pop()
		k.score.Events = append(k.score.Events, event)
	}
}

// Whatever is exchanged, taken back, loaded anew, followed or alone, struck in between, with reads that come at another
// time: the score, written and read, and its maps alone give the same bytes.
func TestTurnsRenderToWhatWasPlayed(t *testing.T) {
	first, other := turnsProject(t, 1, 0.1), turnsProject(t, 5, 0.2)
	other.HeadroomDB = 3
	other.save()
	rapid.Check(t, func(rt *rapid.T) {
		kept := &turnsKept{t: rt, dir: first.dir}
		in, out := NewQueue(1 << 12)
		kept.out = out
		first.HeadroomDB = 0
		first.save()
		settings := Settings{MemoryBytes: 24 << 20, Applied: []*QueueIn{in}, Opened: kept.opened, MostVoices: 30}
		e, err := Open(first.path(), settings)
		if err != nil {
			rt.Fatal(err)
		}
		defer e.Close()
		if err := e.OpenAgainst(other.path()); err != nil {
			rt.Fatal(err)
		}
		list := NewList(drawEvents(rt, seconds(1.5)))
		var played []float32
		fill := 0
		for range rapid.IntRange(3, 25).Draw(rt, "turns") {
			switch rapid.IntRange(0, 7).Draw(rt, "turn") {
			case 0:
				e.Exchange()
			case 1:
				_ = e.Undo() // there may be nothing to go back to
			case 2:
				first.HeadroomDB = float64(rapid.IntRange(0, 12).Draw(rt, "headroom"))
				first.save()
				if err := e.Reload(first.path()); err != nil {
					rt.Fatal(err)
				}
			case 3:
				e.Follow(rapid.Bool().Draw(rt, "follow"))
			case 4:
				e.StrikeAgain()
			case 5:
				e.SetAlone(Facet(rapid.IntRange(0, 3).Draw(rt, "facet")), rapid.IntRange(0, 1).Draw(rt, "member"),
					rapid.Bool().Draw(rt, "on"))
			case 6:
				e.SetSilent(Facet(rapid.IntRange(0, 3).Draw(rt, "facet")), rapid.IntRange(0, 1).Draw(rt, "member"),
					rapid.Bool().Draw(rt, "on"))
			}
			every := rapid.IntRange(1, 20).Draw(rt, "blocks between fillings") // less than a ring holds
			for range rapid.IntRange(1, 80).Draw(rt, "cells") {
				if fill%every == 0 {
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
			rt.Fatalf("%d late reads", misses)
		}
		kept.score.Frames = e.frame
		var file bytes.Buffer
		if err := WriteScore(&file, kept.score, testRateHz); err != nil {
			rt.Fatal(err)
		}
		score, err := ParseScore(&file, "evening.mid", testRateHz)
		if err != nil || !slices.Equal(score.Events, kept.score.Events) {
			rt.Fatalf("%d of %d events came back, %v", len(score.Events), len(kept.score.Events), err)
		}
		requireGuided(rt, first.dir, score, played)
	})
}

// requireGuided wants a score to render by its own maps to what was played.
func requireGuided(t *rapid.T, dir string, score Score, played []float32) {
	t.Helper()
	all := score.MapsPlayed()
	for number, m := range all {
		if m.Path == "" || m.Voices != 30 || !slices.Equal(slices.Collect(maps.Values(m.Beds)), []string{"its hash"}) {
			t.Fatalf("map %d came back as %q, %d voices, beds %v", number, m.Path, m.Voices, m.Beds)
		}
	}
	parse := func(number int) (*mapping.Map, string, error) {
		m, err := mapping.Parse([]byte(all[number].Text), "map")
		return m, filepath.Join(dir, filepath.Dir(all[number].Path)), err
	}
	m, _, err := parse(0)
	if err != nil {
		t.Fatal(err)
	}
	e, err := OpenMap(m, dir, Settings{MemoryBytes: 24 << 20, MostVoices: all[0].Voices})
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
