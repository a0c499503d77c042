// Which layer and strand a take may be meant for: a first guess that the builder overrules.

package takes

import (
	"cmp"
	"math"
	"slices"

	"lapstrake/mapping/takes/measure"
)

// suggest fills in the layers and strands that are not suggested yet. One new or edited take must
// not move others to other beds, so what was suggested for a content stands.
//
// Within a kind, takes are shared out among the layers: the louder a take is played, the higher are
// its level and its brightness, and the less of it is breath, bow and key noise (common practice).
// Within a layer, the first strand gets what begins slowly and goes on steadily, the last what
// begins at once and moves. Each name gets as many takes as any other.
func (s *Sheet) suggest() {
	kinds := map[measure.Kind][]*Row{}
	for i := range s.Rows {
		if row := &s.Rows[i]; !row.Missing && row.Problem == "" {
			kinds[row.UsedKind()] = append(kinds[row.UsedKind()], row)
		}
	}
	layers := map[string][]*Row{}
	for _, kind := range allKinds {
		share(kinds[kind], loudTraits[kind], s.options.Layers, func(r *Row) *string { return &r.SuggestedLayer })
		for _, row := range kinds[kind] {
			layers[row.SuggestedLayer] = append(layers[row.SuggestedLayer], row)
		}
	}
	for _, layer := range append([]string{Both}, s.options.Layers...) {
		share(layers[layer], livelyTraits, s.options.Strands, func(r *Row) *string { return &r.SuggestedStrand })
	}
}

// trait is one side of what makes a take loud or lively, and how much it counts.
type trait struct {
	weight float64
	of     func(*Row) float64
}

var (
	level      = trait{0.4, func(r *Row) float64 { return r.KLevelLUFS }}
	brightness = trait{0.4, func(r *Row) float64 { return r.BrightnessHz }}
	playNoise  = trait{-0.2, func(r *Row) float64 { return r.Noisiness }}
	loudTraits = map[measure.Kind][]trait{
		measure.Struck: {level, brightness, playNoise},
		measure.Held:   {level, brightness, playNoise},
		measure.Noisy:  {level, brightness},
	}
	livelyTraits = []trait{
		{-0.5, func(r *Row) float64 { return r.AttackSec }},
		{0.25, func(r *Row) float64 { return r.SteadinessDB }},
		{0.25, func(r *Row) float64 { return r.DecayDBPerS }},
	}
)

// fewestShared is how many takes can be shared out; fewer may go anywhere.
const fewestShared = 4

// share gives rows a name by their score, lowest first; a row that has one keeps it.
func share(rows []*Row, traits []trait, names []string, field func(*Row) *string) {
	scores := map[*Row]float64{}
	byPitch, unpitched := splitByPitch(rows)
	for i, row := range byPitch {
		first := min(max(i-neighbourCount/2, 0), max(len(byPitch)-neighbourCount, 0))
		scores[row] = score(row, byPitch[first:min(first+neighbourCount, len(byPitch))], traits)
	}
	for _, row := range unpitched {
		scores[row] = score(row, unpitched, traits)
	}
	sorted := slices.Clone(rows)
	slices.SortStableFunc(sorted, func(a, b *Row) int { return cmp.Compare(scores[a], scores[b]) })
	for place, row := range sorted {
		switch {
		case slices.Contains(names, *field(row)):
		case len(rows) < fewestShared:
			*field(row) = Both
		default:
			*field(row) = names[place*len(names)/len(rows)]
		}
	}
}

// score adds up the share of its neighbours that a row surpasses in each trait, a half where that is not known.
func score(row *Row, near []*Row, traits []trait) float64 {
	sum := 0.0
	for _, t := range traits {
		own, below, known := t.of(row), 0.0, 0.0
		for _, other := range near {
			switch value := t.of(other); {
			case math.IsNaN(value):
				continue
			case value < own:
				below++
			case value == own:
				below += 0.5
			}
			known++
		}
		if !math.IsNaN(own) && known > 0 {
			sum += t.weight * (below/known - 0.5)
		}
	}
	return sum
}

// neighbourCount is how many takes nearest in pitch, itself included, a take is compared with, so that
// neither high nor low roots are left with one layer. Takes without pitch are compared with each other.
const neighbourCount = 16

// splitByPitch gives the rows with a pitch, lowest first, and those without.
func splitByPitch(rows []*Row) (pitched, unpitched []*Row) {
	for _, row := range rows {
		if row.Pitch.Hz > 0 {
			pitched = append(pitched, row)
		} else {
			unpitched = append(unpitched, row)
		}
	}
	slices.SortStableFunc(pitched, func(a, b *Row) int { return cmp.Compare(a.Pitch.Hz, b.Pitch.Hz) })
	return pitched, unpitched
}
