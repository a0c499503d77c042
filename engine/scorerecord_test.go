// A score that grows is readable after every byte that is written.

package engine

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"gitlab.com/gomidi/midi/v2/smf"
	"pgregory.net/rapid"
)

// However it is cut into pieces, the file holds the events at their frames, for our reader and for the library's.
func TestRecordedScoreComesBack(t *testing.T) {
	dir := t.TempDir()
	rapid.Check(t, func(rt *rapid.T) {
		want, rateHz := anyScore(rt), rapid.SampledFrom(usualRatesHz).Draw(rt, "rate")
		path := filepath.Join(dir, "evening.mid")
		defer os.Remove(path)
		s, err := RecordScore(path, rateHz)
		if err != nil {
			rt.Fatal(err)
		}
		for from := 0; from < len(want.Events); {
			to := rapid.IntRange(from, len(want.Events)).Draw(rt, "to")
			end := s.frame
			if to > from {
				end = want.Events[to-1].Frame
			}
			if err := s.Append(want.Events[from:to], nil, end); err != nil {
				rt.Fatal(err)
			}
			if got, err := ReadScore(path, rateHz); err != nil || !slices.Equal(got.Events, want.Events[:to]) ||
				got.Frames != end {
				rt.Fatalf("after %d events: %d events up to %d, %v", to, len(got.Events), got.Frames, err)
			}
			from = to
		}
		if err := errors.Join(s.Append(nil, nil, want.Frames), s.Close()); err != nil {
			rt.Fatal(err)
		}
		if got, err := ReadScore(path, rateHz); err != nil || !slices.Equal(got.Events, want.Events) ||
			got.Frames != want.Frames {
			rt.Fatalf("read back %+v, %v; want %+v", got, err, want)
		}
		data, err := os.ReadFile(path)
		if err != nil {
			rt.Fatal(err)
		}
		checkTicks(rt, data, want, rateHz)
	})
}

// Killed between any two bytes of an Append, the file holds what was there before or all of it.
func TestRecordedScoreIsWholeAtEveryStep(t *testing.T) {
	path := filepath.Join(t.TempDir(), "evening.mid")
	s, err := RecordScore(path, 48000)
	if err != nil {
		t.Fatal(err)
	}
	events := []Event{NoteOn(10, 0, 60, 100), Control(5000, 3, 1, 64), NoteOff(9000, 0, 60)}
	if err := s.Append(events[:1], nil, 4000); err != nil {
		t.Fatal(err)
	}
	before, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Append(events[1:], nil, 10_000); err != nil {
		t.Fatal(err)
	}
	after, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	whole := 0
	check := func(step string, data []byte) {
		t.Helper()
		got, err := ParseScore(bytes.NewReader(data), path, 48000)
		switch {
		case err == nil && slices.Equal(got.Events, events) && got.Frames == 10_000:
			whole++
		case err != nil || !slices.Equal(got.Events, events[:1]) || got.Frames != 4000:
			t.Errorf("%s: %+v, %v", step, got, err)
		}
		if _, err := smf.ReadFrom(bytes.NewReader(data)); err != nil {
			t.Errorf("%s: the library reads it with %v", step, err)
		}
	}
	data := slices.Clone(before)
	for _, b := range after[len(before):] {
		data = append(data, b)
		check("tail", data)
	}
	copy(data[trackLengthByte:trackByte], after[trackLengthByte:trackByte])
	check("length", data)
	data[len(before)-2] = after[len(before)-2]
	check("end", data)
	if whole != 1 || !bytes.Equal(data, after) {
		t.Errorf("all of it was there at %d steps, want at the last; the same bytes: %v", whole,
			bytes.Equal(data, after))
	}
}

func TestRecordScoreOverwritesNothing(t *testing.T) {
	path := filepath.Join(t.TempDir(), "evening.mid")
	if err := os.WriteFile(path, nil, 0o666); err != nil {
		t.Fatal(err)
	}
	if _, err := RecordScore(path, 48000); !errors.Is(err, fs.ErrExist) {
		t.Errorf("%v, want that the file is there", err)
	}
	if _, err := RecordScore(path+"x", 44101); err == nil {
		t.Error("a rate without ticks is taken")
	}
}

// Markers stand at their frames, where another program shows them; one that comes too late stands at the end of what
// was written.
func TestMarkersInARecordedScore(t *testing.T) {
	path := filepath.Join(t.TempDir(), "evening.mid")
	s, err := RecordScore(path, 48000)
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(
		s.Append([]Event{NoteOn(100, 0, 60, 90)}, []Marker{{50, "mark 1"}, {100, "mark 2: höher"}}, 4000),
		s.Append([]Event{NoteOff(5000, 0, 60)}, []Marker{{3000, "mark 3"}, {6000, "mark 4"}}, 6000),
		s.Close()); err != nil {
		t.Fatal(err)
	}
	file, err := smf.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	found, at := []Marker{}, int64(0)
	for _, event := range file.Tracks[0] {
		at += int64(event.Delta)
		var text string
		if event.Message.GetMetaMarker(&text) {
			found = append(found, Marker{at, text})
		}
	}
	if want := []Marker{{50, "mark 1"}, {100, "mark 2: höher"}, {4000, "mark 3"},
		{6000, "mark 4"}}; !slices.Equal(found, want) {
		t.Errorf("markers %v, want %v", found, want)
	}
	if score, err := ReadScore(path, 48000); err != nil || len(score.Events) != 2 || score.Frames != 6000 {
		t.Errorf("our reader finds %+v, %v", score, err)
	}
}
