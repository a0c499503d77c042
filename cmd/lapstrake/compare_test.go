// Wrongs on beds, whose sound changes all the time, are named as what they are.

//go:build linux && cgo

package main

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"lapstrake/engine"
	"lapstrake/mapping"
	"lapstrake/mapping/compare"
	"lapstrake/mapping/takes/decode"
)

// The proof of an export, played again as other programs might play it: as it is, with dynamics that never move, on
// levels that no key has, with a release that is too short, and duller. Each is found as that, and as nothing else.
func TestCompareNamesWrongsOnBeds(t *testing.T) {
	t.Parallel()
	yard, err := smallYard()
	requireNil(t, err)
	dir := copyOf(t, yard)
	out := filepath.Join(t.TempDir(), "out")
	runs(t, "export", dir, "-o", out, "--parts", "proof")
	right := filepath.Join(out, "proof", "render.wav")
	expected, err := compare.ReadBeside(right)
	requireNil(t, err)
	path := filepath.Join(dir, mapping.FileName)
	whole, err := os.ReadFile(path)
	requireNil(t, err)
	m, err := mapping.Load(path)
	requireNil(t, err)
	score, err := os.ReadFile(filepath.Join(out, "proof", "score.mid"))
	requireNil(t, err)
	for _, c := range []struct {
		name        string
		want        compare.Kind // "": near
		line, other string       // of the map
		still, dull bool
	}{
		{name: "as it is"},
		{name: "dynamics that never move", want: compare.Curve, still: true},
		{name: "a level for all keys", want: compare.Keys, line: "seam_fade_db = 12.0", other: "seam_fade_db = 0.0"},
		{name: "a short release", want: compare.Release, line: "release_sec = 2.0", other: "release_sec = 0.1"},
		{name: "duller", want: compare.Bands, dull: true},
	} {
		requireNil(t, os.WriteFile(path, bytes.Replace(whole, []byte(c.line), []byte(c.other), 1), 0o666))
		if c.line != "" && !bytes.Contains(whole, []byte(c.line)) {
			t.Fatalf("%s: the map has no line %s", c.name, c.line)
		}
		played := score
		if c.still {
			played = withoutMoves(t, score, m)
		}
		file, wrong := filepath.Join(t.TempDir(), "score.mid"), filepath.Join(t.TempDir(), "theirs.wav")
		requireNil(t, os.WriteFile(file, played, 0o666))
		runs(t, "render", dir, file, "-o", wrong, "--format", "float")
		var sounds [2]compare.Sound
		for i, path := range []string{right, wrong} {
			sound, err := decode.File(path)
			requireNil(t, err)
			sounds[i] = compare.Sound{RateHz: sound.RateHz, Channels: sound.Channels}
		}
		if c.dull {
			for _, channel := range sounds[1].Channels { // a low-pass of one pole at 2.7 kHz
				last := float32(0)
				for k, sample := range channel {
					last += 0.3 * (sample - last)
					channel[k] = last
				}
			}
		}
		r, err := compare.Sounds(sounds[0], sounds[1], expected.Sections)
		requireNil(t, err)
		if c.want == "" && !r.Near() || c.want != "" && (len(r.Findings) != 1 || r.Findings[0].Kind != c.want) {
			t.Errorf("%s: found %+v, want %q alone", c.name, r.Findings, c.want)
		}
	}
}

// withoutMoves is a score that leaves the dynamics at 0.
func withoutMoves(t *testing.T, text []byte, m *mapping.Map) []byte {
	t.Helper()
	file := filepath.Join(t.TempDir(), "score.mid")
	requireNil(t, os.WriteFile(file, text, 0o666))
	score, err := engine.ReadScore(file, m.RateHz)
	requireNil(t, err)
	for i := range score.Events {
		if e := &score.Events[i]; e.Kind() == engine.KindControl && int(e.Data1) == m.Dynamics.Controller {
			e.Data2 = 0
		}
	}
	var still bytes.Buffer
	requireNil(t, engine.WriteScore(&still, score, m.RateHz))
	return still.Bytes()
}
