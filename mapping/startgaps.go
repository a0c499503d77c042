// How far apart the starts of common chords lie: cycles that begin at one place change together.

package mapping

import (
	"math"
	"slices"
)

// ChordKind is a chord by its intervals.
type ChordKind struct {
	Name      string
	Semitones []int // above its lowest key, which is 0
}

// CommonChords are the chords on which starts are judged: those that a player holds most (common practice).
func CommonChords() []ChordKind {
	return []ChordKind{
		{"one key", []int{0}},
		{"fifth", []int{0, 7}},
		{"octave", []int{0, 12}},
		{"major triad", []int{0, 4, 7}},
		{"minor triad", []int{0, 3, 7}},
		{"seventh", []int{0, 4, 7, 10}},
		{"major seventh", []int{0, 4, 7, 11}},
		{"minor seventh", []int{0, 3, 7, 10}},
		{"cluster", []int{0, 2, 4}},
	}
}

// sameStartTurns is how near two starts lie that count as one: half a second of a cycle of 28 s.
const sameStartTurns = 0.018

// StartGaps tells how far apart the cycles of one kind of chord begin, over all keys on which it can be played.
type StartGaps struct {
	Chord     string
	Chords    int     // on so many lowest keys
	Cycles    float64 // that such a chord sounds in one layer, on average
	MeanTurns float64 // from each cycle's start to the nearest of the others, on average
	EvenTurns float64 // what that would be if all lay evenly round the turn
	Shared    int     // chords in which two cycles begin at one place
	WorstKey  int     // lowest key of the chord whose cycles begin nearest to each other
}

// StartGaps measures the starts of every kind of chord from lowest to highest. Where starts go by presses, each
// chord is one press further in the list, all of its keys alike. A kind that finds no place is left out.
func (m *Map) StartGaps(kinds []ChordKind, lowest, highest int) []StartGaps {
	var all []StartGaps
	for _, kind := range kinds {
		gaps := StartGaps{Chord: kind.Name}
		worst := math.Inf(1)
		for low := lowest; low+slices.Max(kind.Semitones) <= highest; low++ {
			starts := m.chordStarts(low, kind.Semitones, low-lowest)
			if len(starts) < 2 {
				continue
			}
			nearest, mean := startDistances(starts)
			gaps.Chords++
			gaps.Cycles += float64(len(starts))
			gaps.MeanTurns += mean
			gaps.EvenTurns += 1 / float64(len(starts))
			if nearest < sameStartTurns {
				gaps.Shared++
			}
			if nearest < worst {
				worst, gaps.WorstKey = nearest, low
			}
		}
		if gaps.Chords > 0 {
			gaps.Cycles /= float64(gaps.Chords)
			gaps.MeanTurns /= float64(gaps.Chords)
			gaps.EvenTurns /= float64(gaps.Chords)
			all = append(all, gaps)
		}
	}
	return all
}

// chordStarts are the starts of all cycles that a chord sounds when each of its keys has been pressed so often before.
func (m *Map) chordStarts(low int, semitones []int, presses int) (starts []float64) {
	for _, above := range semitones {
		for _, i := range m.ZonesAt(low + above) {
			starts = append(starts, m.Start(&m.Zones[i], low+above, int64(presses)))
		}
	}
	return starts
}

// startDistances sorts two or more starts, and returns the least distance round the turn and the mean of the distances
// from each start to its nearest.
func startDistances(starts []float64) (nearest, mean float64) {
	slices.Sort(starts)
	last := len(starts) - 1
	before := starts[0] + 1 - starts[last]
	nearest = before
	for i, start := range starts {
		after := starts[0] + 1 - start
		if i < last {
			after = starts[i+1] - start
		}
		nearest = min(nearest, after)
		mean += min(before, after)
		before = after
	}
	return nearest, mean / float64(len(starts))
}
