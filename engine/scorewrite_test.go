// What is written comes back: by our reader, frame for frame, and by the library's, tick for tick.

package engine

import (
	"bytes"
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"gitlab.com/gomidi/midi/v2/smf"
	"pgregory.net/rapid"
)

// usualRatesHz are the sampling rates of sound cards and files (AES5 and its multiples, common practice).
var usualRatesHz = []int{8000, 11025, 12000, 16000, 22050, 24000, 32000, 44100, 48000, 64000, 88200,
	96000, 176400, 192000}

// anyScore draws a score in the order of its frames, with waits from none to days.
func anyScore(t *rapid.T) Score {
	score := Score{}
	for range rapid.IntRange(0, 30).Draw(t, "events") {
		score.Frames += anyWait(t)
		event := Event{Frame: score.Frames, Status: byte(rapid.IntRange(0x80, 0xEF).Draw(t, "status")),
			Data1: byte(rapid.IntRange(0, 127).Draw(t, "data 1"))}
		if kind := event.Kind(); kind != KindProgram && kind != KindChannelPressure {
			event.Data2 = byte(rapid.IntRange(0, 127).Draw(t, "data 2"))
		}
		score.Events = append(score.Events, event)
	}
	score.Frames += anyWait(t)
	return score
}

func anyWait(t *rapid.T) int64 {
	return rapid.OneOf(rapid.Just(int64(0)), rapid.Int64Range(0, 200_000), rapid.Int64Range(1<<28-3, 1<<28+3),
		rapid.Int64Range(0, 5<<28)).Draw(t, "wait")
}

func TestWrittenScoreComesBack(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		want, rateHz := anyScore(rt), rapid.SampledFrom(usualRatesHz).Draw(rt, "rate")
		var file bytes.Buffer
		if err := WriteScore(&file, want, rateHz); err != nil {
			rt.Fatal(err)
		}
		got, err := ParseScore(bytes.NewReader(file.Bytes()), "out.mid", rateHz)
		if err != nil || !slices.Equal(got.Events, want.Events) || got.Frames != want.Frames {
			rt.Fatalf("%d Hz: read back %+v, %v; want %+v", rateHz, got, err, want)
		}
		checkTicks(rt, file.Bytes(), want, rateHz)
	})
}

// checkTicks reads the file with the library alone: the ticks are the frames, and a second has rateHz of them.
func checkTicks(t *rapid.T, data []byte, want Score, rateHz int) {
	file, err := smf.ReadFrom(bytes.NewReader(data))
	if err != nil || file.Format() != 0 || len(file.Tracks) != 1 {
		t.Fatalf("the library reads %v, %v; want one track of format 0", file, err)
	}
	tick, at, beatsPerMin := int64(0), 0, 0.0
	for _, timed := range file.Tracks[0] {
		tick += int64(timed.Delta)
		if timed.Message.GetMetaTempo(&beatsPerMin) || !timed.Message.IsPlayable() {
			continue
		}
		if event := want.Events[at]; tick != event.Frame || timed.Message.Bytes()[0] != event.Status ||
			timed.Message.Bytes()[1] != event.Data1 {
			t.Fatalf("event %d: the library reads % x at tick %d, want %+v", at, timed.Message.Bytes(), tick, event)
		}
		at++
	}
	division := float64(file.TimeFormat.(smf.MetricTicks))
	if perSec := division * beatsPerMin / 60; at != len(want.Events) || tick != want.Frames ||
		math.Abs(perSec-float64(rateHz)) > 1e-6 {
		t.Fatalf("the library reads %d events and %d ticks of which %v make a second; want %d, %d, %d", at, tick,
			perSec, len(want.Events), want.Frames, rateHz)
	}
}

// Each rate gets a quarter note that holds a whole number of frames and lasts a whole number of microseconds.
func TestFrameTicks(t *testing.T) {
	for rateHz := 1; rateHz <= 200_000; rateHz++ {
		division, microsPerQuarter, err := frameTicks(rateHz)
		possible := false // the smallest division of all that are exact is rateHz/n for the largest n
		for n := 1; n <= 64; n++ {
			possible = possible || rateHz%n == 0 && 1_000_000%n == 0 && rateHz/n < 32768
		}
		if possible != (err == nil) || err == nil &&
			(division > 32767 || int64(division)*1_000_000 != int64(rateHz)*int64(microsPerQuarter)) {
			t.Fatalf("%d Hz: %d ticks a quarter note of %d µs, %v", rateHz, division, microsPerQuarter, err)
		}
	}
	if division, micros, _ := frameTicks(48000); division != 24000 || micros != 500_000 {
		t.Errorf("48000 Hz: %d ticks of %d µs, want the default tempo's 24000 of 500000", division, micros)
	}
	for _, rateHz := range []int{0, -48000, 44101, 1 << 40} {
		if err := CheckScoreRate(rateHz); err == nil || !strings.Contains(err.Error(), "choose a usual one") {
			t.Errorf("%d Hz: %v", rateHz, err)
		}
	}
}

// What cannot come back is refused, and nothing is written.
func TestWriteScoreRefusals(t *testing.T) {
	for _, c := range []struct {
		name   string
		score  Score
		rateHz int
		want   string
	}{
		{"out of order", Score{Events: []Event{NoteOn(5, 0, 60, 100), NoteOff(4, 0, 60)}, Frames: 9}, 48000,
			"event 2: found frame 4, expected 5 to 9"},
		{"behind the end", Score{Events: []Event{NoteOn(10, 0, 60, 100)}, Frames: 9}, 48000,
			"event 1: found frame 10, expected 0 to 9"},
		{"before the start", Score{Events: []Event{NoteOn(-1, 0, 60, 100)}, Frames: 9}, 48000, "found frame -1"},
		{"an end before the start", Score{Events: nil, Frames: -1}, 48000, "frame -1"},
		{"an end beyond all time", Score{Events: nil, Frames: math.MaxInt64}, 48000, "shorten the score"},
		{"no channel message", Score{Events: []Event{{0, 0xF7, 1, 2, 0}}, Frames: 9}, 48000, "f7 01 02"},
		{"no data byte", Score{Events: []Event{{0, 0x90, 60, 128, 0}}, Frames: 9}, 48000, "90 3c 80"},
		{"a rate without ticks", Score{}, 44101, "44101 Hz"},
		{"more than is read", Score{Events: make17MiB(), Frames: 0}, 48000, "write it in parts"},
	} {
		var file bytes.Buffer
		if err := WriteScore(&file, c.score, c.rateHz); err == nil || !strings.Contains(err.Error(), c.want) ||
			file.Len() > 0 {
			t.Errorf("%s: %d bytes written, error %.200v; want one with %q", c.name, file.Len(), err, c.want)
		}
	}
	if err := WriteScore(fullDisk{}, Score{}, 48000); !errors.Is(err, errFullDisk) {
		t.Errorf("a full disk: %v", err)
	}
}

func make17MiB() []Event {
	return slices.Repeat([]Event{NoteOn(0, 0, 60, 100)}, 17<<20/4)
}

type fullDisk struct{}

var errFullDisk = errors.New("no space left")

func (fullDisk) Write([]byte) (int, error) { return 0, errFullDisk }
