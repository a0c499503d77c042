// Whether a held chord goes on changing, as the ear gets it.

package check

import (
	"context"
	"fmt"
	"slices"

	"lapstrake/engine/show"
	"lapstrake/mapping/hearing"
	"lapstrake/mapping/work"
)

const (
	evolutionSec = 90 // so long a chord is listened to
	changeSec    = 5  // and compared with itself so much later
	repeatSec    = 8  // nearer than this nothing counts as a repeat
	stillDB      = 2  // a change that hardly anybody notices (common practice)

	// How far figures of two stretches of the same chord differ: standard deviations over eight stretches.
	slowSpread   = 0.2
	changeSpread = 0.3
)

// living is what is measured of a held chord.
type living struct {
	SlowDB, QuickDB           float64 // modulation of timbre from 0.02 to 0.2 and from 0.2 to 2 Hz
	StillSlowDB, StillQuickDB float64 // the same of a sound that stands still, of the same spectrum
	LowDB, MedianDB, HighDB   float64 // change over 5 s: 10 %, half, 90 % of the moments
	StillShare                float64 // of the moments with a change under stillDB
	Repeat                    hearing.Repeat
	ChangesDB                 []float64
	DistancesDB               [][]float32 // as show.SelfDistance has them
}

// evolution listens to one key and to the chord, with the loudest and the quietest layer alone.
func evolution(ctx context.Context, s *subject, said *PartReport) error {
	if err := s.hash(ctx); err != nil {
		return err
	}
	key := s.middleKey()
	chords := []struct {
		words string
		keys  []int
		value int
	}{
		{"one key, soft", []int{key}, 0}, {"one key, loud", []int{key}, 127},
		{"chord, soft", s.Keys, 0}, {"chord, loud", s.Keys, 127},
	}
	all := make([]*living, len(chords))
	tally := work.NewTally(float64(len(chords)), s.progress)
	err := work.Each(ctx, len(chords), func(ctx context.Context, i int) (err error) {
		defer tally.Add(1)
		one := chords[i]
		all[i], err = cached(s.cache, s.livingKey(one.keys, one.value), func() (*living, error) {
			return s.live(ctx, one.keys, one.value)
		})
		return err
	})
	if err != nil {
		return err
	}
	var curves []evolutionCurve
	selves := &show.SelfDistances{Title: "Held chords against themselves"}
	for i, one := range chords {
		l := all[i]
		curves = append(curves, evolutionCurve{one.words, l.ChangesDB})
		if len(l.DistancesDB) > 0 {
			selves.Sounds = append(selves.Sounds, show.SelfDistance{Name: one.words, DistancesDB: l.DistancesDB})
		}
		said.tell(one.words+": slow changes of timbre, 0.02 to 0.2 Hz", l.SlowDB, "dB", moreIsBetter)
		said.tell(one.words+": if it stood still", l.StillSlowDB, "dB", neither)
		said.tell(one.words+": quick changes, 0.2 to 2 Hz", l.QuickDB, "dB", neither)
		said.tell(one.words+": if it stood still, 0.2 to 2 Hz", l.StillQuickDB, "dB", neither)
		said.tell(one.words+": change over 5 s, least tenth", l.LowDB, "dB", moreIsBetter)
		said.tell(one.words+": change over 5 s, median", l.MedianDB, "dB", moreIsBetter)
		said.tell(one.words+": change over 5 s, greatest tenth", l.HighDB, "dB", neither)
		said.tell(one.words+": time in which nothing changes", 100*l.StillShare, "%", lessIsBetter)
		said.tell(one.words+": longest stretch heard again", float64(l.Repeat.Sec), "s", lessIsBetter)
		s.judgeLiving(said, one.words, one.keys, one.value, l)
	}
	said.Drawings = drawEvolution(curves)
	if len(selves.Sounds) > 0 {
		said.Drawings = append(said.Drawings, selves)
	}
	return s.tellDistances(ctx, said)
}

func (s *subject) judgeLiving(said *PartReport, words string, keys []int, value int, l *living) {
	place := Place{Keys: keys, Layer: s.m.Layers[value*(len(s.m.Layers)-1)/127], Dynamics: &value}
	chord := s.names(keys...)
	said.judge(s.limits.EvolutionSlowDB, Finding{
		What: "evolution_slow_db", Place: place, hear: s.hearLater(keys, value, 5, 25),
		Figure: l.SlowDB, Unit: "dB", Spread: slowSpread,
		Text: fmt.Sprintf("%s (%s) hardly changes over 5 to 50 s: its timbre moves by %.1f dB, by %.1f if it stood "+
			"still",
			words, chord, l.SlowDB, l.StillSlowDB),
	}, cureEvolution)
	said.judge(s.limits.EvolutionChangeDB, Finding{
		What: "evolution_change_db", Place: place, hear: s.hearLater(keys, value, 5, 5),
		Figure: l.MedianDB, Unit: "dB", Spread: changeSpread,
		Text: fmt.Sprintf("%s (%s) changes by %.1f dB over 5 s, half of the time by less", words, chord, l.MedianDB),
	}, cureEvolution)
	said.judge(s.limits.EvolutionRepeatSec, Finding{
		What: "evolution_repeat_sec", Place: place,
		hear:   s.hearLater(keys, value, float64(l.Repeat.AtSec), float64(l.Repeat.LagSec)),
		Figure: float64(l.Repeat.Sec), Unit: "s", Spread: 1,
		Text: fmt.Sprintf("%s (%s): %d s that are heard from second %d on sound the same again %d s later", words,
			chord, l.Repeat.Sec, l.Repeat.AtSec, l.Repeat.LagSec),
	}, func() string {
		return "lapstrake.toml, grid.ranks or beds.most_takes: more takes, or cycles that meet less often"
	})
}

func cureEvolution() string {
	return "lapstrake.toml, arrange.support_db: more, so that takes come forward one after the other; then build"
}

// live listens to a chord.
func (s *subject) live(ctx context.Context, keys []int, value int) (*living, error) {
	played, err := s.play(ctx, keys, value, evolutionSec)
	if err != nil {
		return nil, err
	}
	frames := played.frames[:min(len(played.frames), 2*evolutionSec*s.m.RateHz)]
	timbre, still := hearing.NewTimbre(frames, s.m.RateHz), s.standStill(frames)
	self := timbre.SelfDistance()
	l := &living{
		SlowDB: timbre.ModulationDB(0.02, 0.2), QuickDB: timbre.ModulationDB(0.2, 2),
		StillSlowDB: still.ModulationDB(0.02, 0.2), StillQuickDB: still.ModulationDB(0.2, 2),
		ChangesDB: self.ChangesDB(changeSec), Repeat: self.LongestRepeat(repeatSec),
		DistancesDB: make([][]float32, self.Seconds()),
	}
	for k := range l.DistancesDB {
		for before := k - 1; before >= 0; before-- {
			l.DistancesDB[k] = append(l.DistancesDB[k], float32(self.DistanceDB(k, before)))
		}
	}
	sorted := slices.Clone(l.ChangesDB)
	slices.Sort(sorted)
	if n := len(sorted); n > 0 {
		l.LowDB, l.MedianDB, l.HighDB = sorted[n/10], sorted[n/2], sorted[n*9/10]
		at, _ := slices.BinarySearch(sorted, stillDB)
		l.StillShare = float64(at) / float64(n)
	}
	return l, nil
}

// standStill is the timbre that a sound would have if it stood still. One is made at a time: it takes much memory.
func (s *subject) standStill(frames []float32) *hearing.Timbre {
	s.stillness.Lock()
	defer s.stillness.Unlock()
	return hearing.NewTimbre(hearing.Stationary(frames, 1), s.m.RateHz)
}

// livingKey tells apart all that a chord's sound over time depends on.
func (s *subject) livingKey(keys []int, value int) string {
	return fmt.Sprintf("living, with distances: %d s of ", evolutionSec) + s.soundKey(keys, value)
}

// soundKey tells apart all that the sound of keys at a place of the dynamics depends on: the map, and the beds that
// they play there.
func (s *subject) soundKey(keys []int, value int) string {
	id := fmt.Sprintf("keys %v at dynamics %d of map %s:", keys, value, s.hashes[s.MapPath])
	for _, key := range keys {
		for _, zone := range s.m.ZonesAt(key) {
			for layer := range s.m.Layers {
				if !s.silentLayer(layer, value) {
					id += " " + s.cycleKey(zone, layer)
				}
			}
		}
	}
	return id
}

// middleKey is the key nearest to middle C that sounds.
func (s *subject) middleKey() int { return min(max(60, s.lowest), s.highest) }
