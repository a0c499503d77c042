package mapping

import (
	"fmt"
	"math"
)

// Stagger gives keys, zones or presses different starts. A note begins at its
// zone's start plus, by key or by press, a start taken from the list in turn. Each
// key counts its own presses, whatever is played between them.
type Stagger struct {
	By     By        `toml:"by" comment:"zone: only the zones' own starts; key: neighbouring keys take the list in turn; press: each press of a key takes the next"`
	Starts []float64 `toml:"starts" comment:"turns added to the zone's start, by key or by press"`
}

// By says what a stagger follows.
type By string

// What a stagger may follow.
const (
	ByZone  By = "zone"
	ByKey   By = "key"
	ByPress By = "press"
)

// DefaultStarts are the starts of the zones along a rank: from the top of bed a;
// from half-way through b; from the top of b; from half-way through a.
func DefaultStarts() []float64 { return []float64{0, 0.75, 0.5, 0.25} }

// GoldenStarts spreads n starts by the golden ratio: each falls into the widest
// gap that the ones before it left (Knuth, The Art of Computer Programming 3, 6.4).
func GoldenStarts(n int) []float64 {
	starts := make([]float64, n)
	for i := range starts {
		_, part := math.Modf(float64(i) * (math.Sqrt(5) - 1) / 2)
		starts[i] = roundTurns(part)
	}
	return starts
}

// TakeStarts gives m's zones and its stagger the starts of a grid. By zones, those of each rank take the list in turn.
func (m *Map) TakeStarts(g Grid) {
	starts := g.starts()
	m.Stagger = Stagger{By: g.StaggerBy}
	if g.StaggerBy != ByZone {
		m.Stagger.Starts = starts
	}
	for n, rank := range m.Ranks() {
		along := 0
		for i := range m.Zones {
			z := &m.Zones[i]
			if z.Rank != rank {
				continue
			}
			z.Start = roundTurns(float64(n) * g.RanksApartTurns)
			if g.StaggerBy == ByZone {
				z.Start = roundTurns(starts[along%len(starts)] + z.Start)
			}
			along++
		}
	}
}

// Start returns where in its cycle zone z begins for key on the given press of
// that key, counted from 0: turns, 0 ≤ start < 1.
func (m *Map) Start(z *Zone, key int, press int64) float64 {
	start, n := z.Start, len(m.Stagger.Starts)
	switch {
	case n == 0:
	case m.Stagger.By == ByKey:
		start += m.Stagger.Starts[key%n]
	case m.Stagger.By == ByPress:
		start += m.Stagger.Starts[int(press%int64(n))]
	}
	if start >= 1 {
		start--
	}
	return start
}

// Starts returns every start that zone z can give, without repeats.
func (m *Map) Starts(z *Zone) []float64 {
	var all []float64
	seen := map[float64]bool{}
	add := func(start float64) {
		if !seen[start] {
			seen[start] = true
			all = append(all, start)
		}
	}
	switch m.Stagger.By {
	case ByKey:
		low, high := z.Low, z.High
		if m.zonesByPitch() { // any key may be retuned into the zone
			low, high = LowestKey, HighestKey
		}
		for key := low; key <= high; key++ {
			add(m.Start(z, key, 0))
		}
	case ByPress:
		for press := range max(len(m.Stagger.Starts), 1) {
			add(m.Start(z, z.Low, int64(press)))
		}
	default:
		add(z.Start)
	}
	return all
}

// roundTurns brings turns into 0 to 1 and writes them to a millionth, as a person reads them.
func roundTurns(turns float64) float64 {
	turns = math.Round((turns-math.Floor(turns))*1e6) / 1e6
	if turns >= 1 {
		return 0
	}
	return turns
}

func checkStart(start float64) error {
	if !(start >= 0 && start < 1) {
		return fmt.Errorf("%v: expected turns from 0 up to, not including, 1 (0.5 is half-way round the cycle)", start)
	}
	return nil
}
