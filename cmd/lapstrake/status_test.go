// The status line's text fits every width and keeps what matters most.

package main

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"lapstrake/mapping"
)

// heldKeys is a set of keys as status has it.
func heldKeys(keys ...int) (set [2]uint64) {
	for _, key := range keys {
		set[key/64] |= 1 << (key % 64)
	}
	return set
}

func busyStatus() status {
	return status{
		held: heldKeys(48, 55, 64, 71), naming: mapping.MiddleC4, voices: 16, dynamics: 64,
		volumeDB: -3.04, outputDB: -2,
		peakDBFS: -12.3, loadPercent: 12, worstLoad: 31, recording: true, recordedSec: 61.9, latch: true,
	}
}

func TestStatusShowsEverythingWhereThereIsRoom(t *testing.T) {
	s := busyStatus()
	got := s.text(200, -9)
	want := "[==========| ]   -9.0 dBFS  dynamics  64  volume  -3.0 dB  voices  16  load  12 %, worst  31 %  " +
		"underruns 0  late reads 0  output -2 dB  recorded 1:01  latch  C3 G3 E4 B4"
	if got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

// The ceiling is told of once it has taken off what can be shown.
func TestStatusTellsOfTheCeiling(t *testing.T) {
	s := busyStatus()
	s.reductionDB = 0.04
	if text := s.text(200, -9); strings.Contains(text, "ceiling") {
		t.Errorf("0.04 dB: %s", text)
	}
	s.reductionDB = 3.16
	if text := s.text(200, -9); !strings.Contains(text, "  ceiling -3.2 dB  ") {
		t.Errorf("3.16 dB: %s", text)
	}
}

// Faults outlive figures as the terminal narrows; the latch and the recording outlive all, as what
// was forgotten there costs most.
func TestStatusDropsTheLeastImportantFirst(t *testing.T) {
	s := busyStatus()
	s.underruns, s.recordGaps = 3, 1
	for width := 200; width >= 0; width-- {
		text := s.text(width, -9)
		has := func(part string) bool { return strings.Contains(text, part) }
		for _, pair := range [][2]string{
			{"recorded 1:01 with gaps", "latch"}, {"dBFS", "recorded"}, {"underruns 3", "dBFS"},
			{"C3 G3", "underruns 3"},
			{"dynamics", "C3"}, {"[", "dynamics"}, {"volume", "["}, {"voices", "volume"}, {"load", "voices"},
			{"late reads 0", "load"},
		} {
			if has(pair[0]) && !has(pair[1]) {
				t.Errorf("%d columns: %q shows without %q: %s", width, pair[0], pair[1], text)
			}
		}
	}
}

// The usual width has room for the figures that a player watches.
func TestStatusInEightyColumns(t *testing.T) {
	s := busyStatus()
	s.outputDB, s.recording, s.latch = 0, false, false
	want := "[==========| ]   -9.0 dBFS  dynamics  64  volume  -3.0 dB  C3 G3 E4 B4"
	if got := s.text(79, -9); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

func TestStatusNamesTheFirstKeysAndCountsTheOthers(t *testing.T) {
	s := busyStatus()
	s.held = heldKeys(21, 60, 61, 62, 63, 64, 65, 66, 67, 68, 69, 70, 71, 108)
	for naming, want := range map[mapping.Naming]string{
		mapping.MiddleC4: "A0 C4 C#4 D4 D#4 E4 F4 F#4 G4 G#4 A4 A#4 and 2 more",
		mapping.MiddleC3: "A-1 C3 C#3 D3 D#3 E3 F3 F#3 G3 G#3 A3 A#3 and 2 more",
	} {
		s.naming = naming
		if text := s.text(300, 0); !strings.HasSuffix(text, "  "+want) {
			t.Errorf("middle C %s: %q, want %q at the end", naming, text, want)
		}
	}
	s.naming = mapping.MiddleC4
	if text := s.text(51, 0); !strings.HasSuffix(text, "  A0 C4 and 12 more") {
		t.Errorf("51 columns: %q, want two keys and a count at the end", text)
	}
	s.held = heldKeys()
	if text := s.text(300, 0); !strings.HasSuffix(text, "  latch") {
		t.Errorf("no keys: %q, want nothing after the latch", text)
	}
}

func TestMeter(t *testing.T) {
	for _, c := range []struct {
		peakDBFS, holdDBFS float64
		want               string
	}{
		{math.Inf(-1), math.Inf(-1), "[            ]"},
		{math.NaN(), math.NaN(), "[            ]"},
		{-60.1, -60, "[|           ]"},
		{-60, -60, "[=           ]"},
		{-30, -5, "[=======    |]"},
		{-5, -4.9, "[============]"},
		{-20, 6, "[=========  |]"},
		{-20.1, -10, "[========  | ]"},
	} {
		if got := meter(lineMeterCells, c.peakDBFS, c.holdDBFS); got != c.want {
			t.Errorf("peak %v, held %v: %s, want %s", c.peakDBFS, c.holdDBFS, got, c.want)
		}
	}
}

func TestClock(t *testing.T) {
	for sec, want := range map[float64]string{0: "0:00", 59.99: "0:59", 60: "1:00", 3599: "59:59", 3600: "1:00:00",
		90061: "25:01:01"} {
		if got := clock(sec); got != want {
			t.Errorf("%v s: %s, want %s", sec, got, want)
		}
	}
}

// Whatever the figures and the width, the line fits and is one line of ASCII.
func TestStatusFitsAnyWidth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := status{
			held:   [2]uint64{rapid.Uint64().Draw(t, "low keys"), rapid.Uint64().Draw(t, "high keys")},
			naming: rapid.SampledFrom([]mapping.Naming{mapping.MiddleC4, mapping.MiddleC3}).Draw(t, "naming"),
			voices: rapid.IntRange(0, 999).Draw(t, "voices"), dynamics: rapid.IntRange(0, 127).Draw(t, "dynamics"),
			volumeDB: rapid.Float64().Draw(t, "volume"), outputDB: rapid.Float64Range(-90, 12).Draw(t, "output"),
			peakDBFS: rapid.Float64().Draw(t, "peak"), reductionDB: rapid.Float64Min(0).Draw(t, "reduction"),
			loadPercent: rapid.IntRange(0, 401).Draw(t, "load"),
			worstLoad:   rapid.IntRange(0, 401).Draw(t, "worst load"),
			underruns:   rapid.Int64Min(0).Draw(t, "underruns"), misses: rapid.Int64Min(0).Draw(t, "misses"),
			recording: rapid.Bool().Draw(t, "recording"), recordedSec: rapid.Float64Range(0, 1e9).Draw(t, "recorded"),
			recordGaps: rapid.Int64Range(0, 2).Draw(t, "gaps"), latch: rapid.Bool().Draw(t, "latch"),
		}
		width := rapid.IntRange(-1, 250).Draw(t, "width")
		text := s.text(width, rapid.Float64().Draw(t, "held peak"))
		if len(text) > max(width, 0) {
			t.Fatalf("%d columns of %d: %q", len(text), width, text)
		}
		for _, b := range []byte(text) {
			if b < ' ' || b > '~' {
				t.Fatalf("byte %#x in %q", b, text)
			}
		}
	})
}
