// Takes that were too short for their bed, were spliced to themselves, and beat.

package check

import (
	"context"
	"fmt"
	"maps"
	"math"
	"path/filepath"
	"slices"

	"lapstrake/engine/stream"
	"lapstrake/mapping/beds"
	"lapstrake/mapping/plural"
	"lapstrake/mapping/project"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes/decode"
	"lapstrake/mapping/work"
)

const (
	// sameBeat is by how much the rate of a beat in a bed may differ from its take's, as a part of it: takes are
	// spliced, which blurs it.
	sameBeat = 0.08
	// A bed of unknown takes may hold a player's vibrato or tremolo, at these rates (common practice), whose depth is
	// 4.5 dB in the middle over 12 held notes of flute and bassoon, and differs by so much (standard deviation).
	vibratoFromHz = 4
	vibratoToHz   = 7
	vibratoDB     = 3
)

// bedBeats is what was found of one bed.
type bedBeats struct {
	zone, layer int
	path        string
	stretch     stream.Alone
	beats       []beat
	contents    beds.Contents
}

// spliced is where a take that was spliced beats most.
type spliced struct {
	bed  *bedBeats
	take beds.TakeInBed
	beds int // in which it beats too much
}

// splices judges what the build noted of each take that it prolonged: how much more it beats than it does by itself.
// In a bed that is not as a build made it, nobody noted what was spliced: there it looks for bands that beat together
// at one exact rate, as whatever is spliced at a period does. Beats that a take has by itself are its own.
func splices(ctx context.Context, s *subject, said *PartReport) error {
	if err := s.readContents(ctx); err != nil {
		return err
	}
	all, err := s.bedBeats(ctx)
	if err != nil {
		return err
	}
	count, drawn, deepest := 0, 0, 0.0
	worst := map[string]spliced{} // of each take
	for i := range all {
		b := &all[i]
		for _, take := range b.contents.Takes {
			switch {
			case b.contents.Edited:
				continue
			case take.Drawn:
				drawn++
			case take.Splices > 0:
				count++
			default:
				continue
			}
			p := worst[take.Path]
			if take.BeatDB > s.limits.BeatDB[0] {
				p.beds++
			}
			if p.bed == nil || take.BeatDB > p.take.BeatDB {
				p.bed, p.take = b, take
			}
			worst[take.Path] = p
		}
		if len(b.beats) > 0 {
			deepest = max(deepest, s.judgeBeat(said, b))
		}
	}
	deepestSpliced := 0.0
	for _, path := range slices.Sorted(maps.Keys(worst)) {
		deepestSpliced = max(deepestSpliced, worst[path].take.BeatDB)
		s.judgeSplices(said, worst[path])
	}
	said.tell("short takes that were spliced, in all beds", float64(count), "", neither)
	said.tell("short takes that were drawn out, in all beds", float64(drawn), "", neither)
	said.tell("one of them beats beyond what it does by itself, most", deepestSpliced, "dB", lessIsBetter)
	said.tell("a bed that no build made as it is beats at one exact rate beyond what its takes do, most", deepest,
		"dB", lessIsBetter)
	return nil
}

// bedBeats lists the beds, each once, whatever number of zones play it, and measures those that are not as a build
// made them.
func (s *subject) bedBeats(ctx context.Context) (all []bedBeats, err error) {
	seen := map[string]bool{}
	for zone := range s.m.Zones {
		for layer, name := range s.m.Layers {
			for _, stretch := range s.cycle(zone, layer).Stretches() {
				path := s.m.Zones[zone].Beds[name][stretch.Bed]
				if !seen[path] {
					all = append(all, bedBeats{zone: zone, layer: layer, path: path, stretch: stretch,
						contents: s.contents[path]})
				}
				seen[path] = true
			}
		}
	}
	tally := work.NewTally(float64(len(all)), s.progress)
	return all, work.Each(ctx, len(all), func(_ context.Context, i int) (err error) {
		defer tally.Add(1)
		b := &all[i]
		if len(b.contents.Takes) > 0 && !b.contents.Edited {
			return nil
		}
		key := fmt.Sprintf("beats, %d of %s", b.stretch.Bed, s.cycleKey(b.zone, b.layer))
		b.beats, err = cached(s.cache, key, func() ([]beat, error) {
			return stretchBeats(s.cycle(b.zone, b.layer), b.stretch)
		})
		return err
	})
}

// stretchBeats finds the beats of a bed as it is played.
func stretchBeats(c *stream.Cycle, stretch stream.Alone) ([]beat, error) {
	var both []float32
	levels, err := sound.BandLevels(stretch.To-stretch.From, c.RateHz, func(samples []float32, from int64) error {
		if len(both) == 0 {
			both = make([]float32, 2*len(samples))
		}
		err := c.ReadFrames(both, stretch.From+from)
		for i := range samples {
			samples[i] = both[2*i] + both[2*i+1]
		}
		return err
	})
	return beats(levels), err
}

// judgeSplices judges one take by what the build noted of it in the bed in which it beats most.
func (s *subject) judgeSplices(said *PartReport, p spliced) {
	z, more, how := s.m.Zones[p.bed.zone], "", "it was joined to itself "+plural.Of(p.take.Splices, "time")
	if p.take.Drawn {
		how = "it was drawn out"
	}
	if p.beds > 1 {
		more = fmt.Sprintf("; it beats so in %s more", plural.Of(p.beds-1, "bed"))
	}
	said.judge(s.limits.BeatDB, Finding{
		What: "beat_db",
		Place: Place{Bed: p.bed.path, Take: p.take.Path, Layer: s.m.Layers[p.bed.layer], Rank: z.Rank,
			Keys: []int{z.Root}},
		Figure: p.take.BeatDB, Unit: "dB", Spread: beatSpreadDB,
		Text: fmt.Sprintf("%s is too short for %s, in keys %s to %s: %s, and a quarter of its bands "+
			"beats by %.0f dB either way, or more%s", p.take.Path, p.bed.path, s.name(z.Low), s.name(z.High),
			how, p.take.BeatDB, more),
	}, func() string {
		return fmt.Sprintf("takes.csv, kind: struck for %s, so that it sounds as it is; or use: no", p.take.Path)
	})
}

// judgeBeat judges the deepest beat of a bed beyond what its takes have by themselves, and returns it.
func (s *subject) judgeBeat(said *PartReport, b *bedBeats) (excessDB float64) {
	var worst beat
	for _, k := range b.beats {
		if by := k.DepthDB - s.ownBeatDB(b, k.Hz); by > excessDB {
			worst, excessDB = k, by
		}
	}
	z, spreadDB, unless := s.m.Zones[b.zone], worst.SpreadDB, ""
	if len(b.contents.Takes) == 0 && worst.Hz >= vibratoFromHz && worst.Hz <= vibratoToHz {
		spreadDB = math.Hypot(spreadDB, vibratoDB)
		unless = ", unless it is a player's vibrato"
	}
	said.judge(s.limits.BeatDB, Finding{
		What:   "beat_db",
		Place:  Place{Bed: b.path, Layer: s.m.Layers[b.layer], Rank: z.Rank, Keys: []int{z.Root}},
		Figure: excessDB, Unit: "dB", Spread: spreadDB,
		Text: fmt.Sprintf("%s of %s beat together %.1f times a second, in keys %s to %s: their levels rise and fall "+
			"by %.0f dB either way, as where a short sound is repeated%s", plural.Of(worst.Bands, "band"), b.path,
			worst.Hz, s.name(z.Low),
			s.name(z.High), worst.DepthDB, unless),
	}, func() string {
		switch {
		case b.contents.Edited:
			return fmt.Sprintf("lapstrake build DIR --force makes %s anew: it was edited by hand", b.path)
		case len(b.contents.Takes) == 0:
			return fmt.Sprintf("make %s anew of longer sounds, or with joins at irregular places: no build made it",
				b.path)
		}
		var names []string
		for _, take := range b.contents.Takes {
			names = append(names, take.Path)
		}
		return "takes.csv, kind: struck or use: no, for that of these which you hear beat: " + wordList(names)
	})
	return excessDB
}

// ownBeatDB is how deep the takes of a bed beat by themselves at a rate in the bed. A take that was moved was sped up.
func (s *subject) ownBeatDB(b *bedBeats, hz float64) (depthDB float64) {
	for _, take := range b.contents.Takes {
		faster := 1.0
		if take.Move != nil {
			faster = math.Exp2(*take.Move / 12)
		}
		own, err := s.takeBeats(take)
		if err != nil {
			continue // a take that cannot be read any more says nothing
		}
		for _, k := range own {
			if math.Abs(k.Hz*faster/hz-1) < sameBeat {
				depthDB = max(depthDB, k.DepthDB)
			}
		}
	}
	return depthDB
}

// takeBeats finds the beats of a take as it was recorded.
func (s *subject) takeBeats(take beds.TakeInBed) ([]beat, error) {
	return cached(s.cache, fmt.Sprint("beats of a take, ", take.Hash, take.Stretch), func() ([]beat, error) {
		dir := filepath.Join(filepath.Dir(s.MapPath), project.TakesFolder)
		part, err := decode.Part(filepath.Join(dir, filepath.FromSlash(take.Path)), take.Stretch.Span())
		if err != nil {
			return nil, err
		}
		levels, err := sound.BandLevels(int64(part.Frames()), part.RateHz, func(samples []float32, from int64) error {
			clear(samples)
			for _, channel := range part.Channels {
				for i := range samples {
					samples[i] += channel[int(from)+i]
				}
			}
			return nil
		})
		return beats(levels), err
	})
}
