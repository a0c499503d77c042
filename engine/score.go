// A score: a Standard MIDI File as events at frames.

package engine

import (
	"cmp"
	"fmt"
	"io"
	"os"
	"slices"
)

// Score is a Standard MIDI File placed in time.
type Score struct {
	Events []Event // by frame; events of one tick in the file's order, track by track
	Frames int64   // where the longest track ends, its silence after the last event included

	Markers []Marker // by frame; written as meta events for other programs, and passed over in reading

	Maps []PlayedMap // that turns among the events are about, in the order in which they were told
}

// Marker is a name for a place in a score.
type Marker struct {
	Frame int64
	Text  string
}

// ReadScore reads the Standard MIDI File at path for playing at rateHz frames a second.
func ReadScore(path string, rateHz int) (Score, error) {
	file, err := os.Open(path)
	if err != nil {
		return Score{}, err
	}
	defer file.Close()
	return ParseScore(file, path, rateHz)
}

// ParseScore reads a Standard MIDI File of format 0, 1 or 2 (Standard MIDI Files 1.0, RP-001) of at
// most 16 MiB; name is what errors call it. The tracks of format 1 sound together, under
// the tempo changes of whichever track holds them; those of format 2 one after the other, each under its
// own. Time is exact: the frame of an event is its rational time rounded once, half a frame
// upwards. System-exclusive and meta events are left out, but for tunings, and for turns and maps as WriteScore writes
// them.
//
// A file that is damaged or is none gives an error that says at which byte, what was found there,
// what was expected and the mend.
func ParseScore(r io.Reader, name string, rateHz int) (Score, error) {
	if rateHz <= 0 {
		return Score{}, fmt.Errorf("%s: found a rate of %d Hz, expected 1 or more", name, rateHz)
	}
	score, err := parseScore(r, rateHz)
	if err != nil {
		return Score{}, fmt.Errorf("%s: %w", name, err)
	}
	return score, nil
}

func parseScore(r io.Reader, rateHz int) (Score, error) {
	data, err := readScoreBytes(r)
	if err != nil {
		return Score{}, err
	}
	file, err := splitScore(data)
	if err != nil {
		return Score{}, err
	}
	clock := newTickClock(file.division, rateHz)
	score := Score{}
	together := sequence{}
	for i, track := range file.tracks {
		own, err := track.read()
		if err != nil {
			return Score{}, fmt.Errorf("track %d: %w", i+1, err)
		}
		if file.format == 2 {
			if err := score.play(own, clock); err != nil {
				return Score{}, err
			}
			continue
		}
		together.events = append(together.events, own.events...)
		together.maps = append(together.maps, own.maps...)
		together.tempos = append(together.tempos, own.tempos...)
		together.endTick = max(together.endTick, own.endTick)
	}
	if file.format != 2 {
		err = score.play(together, clock)
	}
	return score, err
}

// play puts a sequence after what the clock has already counted.
func (s *Score) play(from sequence, clock *tickClock) (err error) {
	slices.SortStableFunc(from.events, func(a, b Event) int { return cmp.Compare(a.Frame, b.Frame) })
	slices.SortStableFunc(from.tempos, func(a, b tempoChange) int { return cmp.Compare(a.tick, b.tick) })
	clock.start(from.tempos)
	for _, event := range from.events {
		if event.Frame, err = clock.frameAt(event.Frame); err != nil {
			return err
		}
		s.Events = append(s.Events, event)
	}
	s.Maps = append(s.Maps, from.maps...)
	s.Frames, err = clock.frameAt(from.endTick)
	return err
}
