// The starts that lie farthest apart: a search over the list of starts and the distance of the ranks.

package mapping

import "slices"

const (
	spreadSteps      = 48   // places in a turn that the search tries: 0.6 s of a cycle of 28 s
	spreadSweeps     = 12   // over all places, at most; it settles after three to five
	spreadBeginnings = 8    // distances of the ranks to begin with
	spreadGain       = 1e-9 // that a move has at least, so that rounding decides nothing
	mostSpread       = 13   // starts of a list: no octave of a key then begins where the key does
)

// SpreadStarts returns g with the list of starts and the distance of the ranks by which the cycles of common chords
// begin farthest apart, as StartGaps measures them. The roots are those that have beds. Same grid and roots, same
// starts.
//
// It begins with g's own starts, and with the golden ratio and several distances of the ranks. Each time it moves one
// start after the other to its best place round the turn, until no move helps.
func (g Grid) SpreadStarts(roots []int) Grid {
	s := newSpreadSearch(g, roots)
	best := s.settle(g.RanksApartTurns, g.starts())
	places := slices.Clone(s.places)
	for n := range spreadBeginnings {
		value := s.settle(float64(n)/spreadBeginnings, GoldenStarts(len(places)-1))
		if value > best+spreadGain {
			best, places = value, slices.Clone(s.places)
		}
	}
	g.Starts, g.RanksApartTurns = nil, roundTurns(float64(places[0])/spreadSteps)
	for _, place := range places[1:] {
		g.Starts = append(g.Starts, roundTurns(float64(place)/spreadSteps))
	}
	return g
}

// spreadSearch holds each chord as the sums that make its cycles' starts.
type spreadSearch struct {
	places []int // in steps: first the distance of the ranks, then the list
	chords []spreadChord
	starts []float64
}

type spreadChord struct {
	cycles []spreadStart
	weight float64 // all chords of one kind weigh 1 together
}

// spreadStart is the start of one cycle: an entry of the list, and as many distances of ranks.
type spreadStart struct{ entry, rank int }

func newSpreadSearch(g Grid, roots []int) *spreadSearch {
	roots = slices.Sorted(slices.Values(roots))
	ranks, _ := g.deal(roots)
	entries := mostSpread
	if g.StaggerBy == ByZone {
		entries = 1
		for _, rank := range ranks {
			entries = min(max(entries, len(rank)), mostSpread)
		}
	}
	s := &spreadSearch{places: make([]int, 1+entries)}
	for _, kind := range CommonChords() {
		first := len(s.chords)
		for low := g.LowestKey; low+slices.Max(kind.Semitones) <= g.HighestKey; low++ {
			var chord []spreadStart
			for _, above := range kind.Semitones {
				chord = append(chord, g.spreadAt(ranks, low+above, low-g.LowestKey, entries)...)
			}
			if len(chord) > 1 {
				s.chords = append(s.chords, spreadChord{cycles: chord})
			}
		}
		for i := range s.chords[first:] {
			s.chords[first+i].weight = 1 / float64(len(s.chords)-first)
		}
	}
	return s
}

// spreadAt are the cycles of a key.
func (g Grid) spreadAt(ranks [][]int, key, press, entries int) (starts []spreadStart) {
	for rank, roots := range ranks {
		along := 0
		for i := range roots {
			low, high := g.zoneOf(roots, i)
			if low <= key && key <= high {
				entry := map[By]int{ByZone: along, ByKey: key, ByPress: press}[g.StaggerBy]
				starts = append(starts, spreadStart{entry % entries, rank})
			}
			if low <= high {
				along++
			}
		}
	}
	return starts
}

// settle begins with the ranks so far apart and the list, moves the places until no move helps, and returns the value
// reached.
func (s *spreadSearch) settle(ranksApart float64, list []float64) float64 {
	s.places[0] = int(ranksApart * spreadSteps)
	for i := range s.places[1:] {
		s.places[1+i] = int(list[i%len(list)] * spreadSteps)
	}
	best := s.value()
	for range spreadSweeps {
		before := best
		for i := range s.places {
			best = s.move(i, best)
		}
		if best <= before {
			break
		}
	}
	return best
}

// value is how far apart the cycles begin, on average over the kinds of chords: 1 where all lie evenly. Two that begin
// at one place cost as much as an even chord earns.
func (s *spreadSearch) value() (value float64) {
	for _, chord := range s.chords {
		s.starts = s.starts[:0]
		for _, c := range chord.cycles {
			place := (s.places[1+c.entry] + c.rank*s.places[0]) % spreadSteps
			s.starts = append(s.starts, float64(place)/spreadSteps)
		}
		nearest, mean := startDistances(s.starts)
		if nearest < sameStartTurns {
			value -= chord.weight
		}
		value += mean * float64(len(s.starts)) * chord.weight
	}
	return value
}

// move puts one place where it serves best, and returns the value there.
func (s *spreadSearch) move(i int, best float64) float64 {
	at := s.places[i]
	for place := range spreadSteps {
		s.places[i] = place
		if value := s.value(); value > best+spreadGain {
			best, at = value, place
		}
	}
	s.places[i] = at
	return best
}
