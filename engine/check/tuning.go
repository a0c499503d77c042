// Whether beds and keys are in tune: what lies off the harmonics of their root, and how far the rest is from them.

package check

import (
	"context"
	"fmt"
	"math"

	"lapstrake/engine/stream"
	"lapstrake/mapping/hearing"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/work"
)

// tuning compares the strong tones of each bed and of each key with the harmonics of the root.
func tuning(ctx context.Context, s *subject, said *PartReport) error {
	if err := s.readContents(ctx); err != nil {
		return err
	}
	layers := len(s.m.Layers)
	moments := make([][]hearing.Moment, len(s.m.Zones)*layers)
	tally := work.NewTally(float64(len(moments)), s.progress)
	err := work.Each(ctx, len(moments), func(_ context.Context, i int) (err error) {
		defer tally.Add(1)
		zone, layer := i/layers, i%layers
		key := fmt.Sprintf("tones of root %d, %s", s.m.Zones[zone].Root, s.cycleKey(zone, layer))
		moments[i], err = cached(s.cache, key, func() ([]hearing.Moment, error) {
			return cycleMoments(s.cycle(zone, layer), sound.KeyHz(float64(s.m.Zones[zone].Root)))
		})
		return err
	})
	if err != nil {
		return err
	}
	s.judgeTunedBeds(said, moments)
	s.judgeTunedKeys(said, moments)
	return ctx.Err()
}

// cycleMoments are those of one turn.
func cycleMoments(c *stream.Cycle, rootHz float64) ([]hearing.Moment, error) {
	left, right, err := oneTurn(c)
	if err != nil {
		return nil, err
	}
	return hearing.TonesOf([][]float32{left, right}, c.RateHz, rootHz, rootHz), nil
}

// judgeTunedBeds measures each bed where it leads its cycle.
func (s *subject) judgeTunedBeds(said *PartReport, moments [][]hearing.Moment) {
	culprits := s.newCulprits()
	var shares, cents, rough []float64
	for i := range moments {
		zone, layer := i/len(s.m.Layers), i%len(s.m.Layers)
		z, cycle := &s.m.Zones[zone], s.cycle(zone, layer)
		rootHz := sound.KeyHz(float64(z.Root))
		for n, stretch := range cycle.Stretches() {
			var own []hearing.Moment
			for _, m := range moments[i] {
				if at := int64(m.AtSec * float64(cycle.RateHz)); at >= stretch.From && at < stretch.To {
					own = append(own, m)
				}
			}
			g := hearing.OnGrid(own, rootHz)
			shares, rough = append(shares, 100*g.OffShare), append(rough, g.Roughness)
			if !math.IsNaN(g.Cents) {
				cents = append(cents, math.Abs(g.Cents))
			}
			bed := z.Beds[s.m.Layers[layer]][n]
			s.judgeTunedBed(said, culprits, Place{Rank: z.Rank, Layer: s.m.Layers[layer], Bed: bed}, own, g, z.Root)
		}
	}
	said.tellShares("beds", shares, s.limits.BedOffGridPercent)
	said.tell("of the beds off the grid, median", median(shares), "%", lessIsBetter)
	said.tell("what lies on the grid, median distance from it", median(cents), "cents", lessIsBetter)
	said.tell("roughness of a bed against its root, median", median(rough), "", lessIsBetter)
	if culprits.known > 0 {
		said.tell("takes in beds at their own pitch", float64(culprits.untuned()), "takes", lessIsBetter)
	}
}

// tellShares counts what is beyond each limit.
func (p *PartReport) tellShares(what string, shares, limits []float64) {
	for _, limit := range limits {
		n := 0
		for _, share := range shares {
			if share > limit {
				n++
			}
		}
		p.tell(fmt.Sprintf("%s with over %.0f %% off the root's harmonics", what, limit), float64(n), "", lessIsBetter)
	}
}

func (s *subject) judgeTunedBed(said *PartReport, culprits *culprits, place Place,
	own []hearing.Moment, g hearing.Grid, root int) {
	percent := 100 * g.OffShare
	if percent > min(s.limits.BedOffGridPercent[0], s.limits.BedOffGridPercent[1]) {
		guilty := culprits.of(place.Bed, hearing.OffGrid(own, sound.KeyHz(float64(root))), root)
		offPlace := place
		offPlace.Take = guilty.name()
		said.judge(s.limits.BedOffGridPercent, Finding{
			What: "bed_off_grid_percent", Place: offPlace, Figure: percent, Unit: "%",
			Text: fmt.Sprintf("%.0f %% of the strong tones of %s are over 50 cents from a harmonic of %s (roughness "+
				"%.2f)%s",
				percent, place.Bed, s.names(root), g.Roughness, guilty.text()),
		}, func() string { return guilty.cure(root) })
	}
	if !math.IsNaN(g.Cents) {
		said.judge(s.limits.BedOffTuneCents, Finding{
			What: "bed_off_tune_cents", Place: place, Figure: math.Abs(g.Cents), Unit: "cents",
			Text: fmt.Sprintf("what lies on the harmonics of %s in %s is %.0f cents %s", s.names(root), place.Bed,
				math.Abs(g.Cents), sharp(g.Cents)),
		}, func() string {
			return fmt.Sprintf("takes.csv, key: the notes of its takes, if a pitch was misheard; if the bed was not "+
				"built here, tune it by %+.0f cents", -g.Cents)
		})
	}
}

func sharp(cents float64) string {
	if cents < 0 {
		return "flat"
	}
	return "sharp"
}

// judgeTunedKeys measures each key at three places of the dynamics.
func (s *subject) judgeTunedKeys(said *PartReport, moments [][]hearing.Moment) {
	shares := map[int][]float64{}
	for key := s.lowest; key <= s.highest; key++ {
		worst, worstAt := hearing.Grid{}, 0
		for _, value := range dynamicsValues {
			g := hearing.OnGrid(s.keyMoments(moments, key, value), sound.KeyHz(float64(key)))
			shares[value] = append(shares[value], 100*g.OffShare)
			if g.OffShare > worst.OffShare {
				worst, worstAt = g, value
			}
		}
		place := onKey(key)
		place.Dynamics = &worstAt
		said.judge(s.limits.KeyOffGridPercent, Finding{
			What: "key_off_grid_percent", Place: place, Figure: 100 * worst.OffShare, Unit: "%",
			Spread: 100 * worst.ShareSpread / math.Sqrt(keyMoments),
			Text: fmt.Sprintf("%.0f %% of the strong tones of %s are over 50 cents from its harmonics, at dynamics "+
				"%d (roughness %.2f)", 100*worst.OffShare, s.names(key), worstAt, worst.Roughness),
		}, func() string { return "see the findings on its beds" })
	}
	said.Drawings = s.drawTuning(shares)
	for _, value := range dynamicsValues {
		said.tellShares(fmt.Sprintf("keys at dynamics %d", value), shares[value], s.limits.KeyOffGridPercent)
	}
}

// keyMoments is how many moments of a note are looked at, keyMomentSec apart.
const (
	keyMoments   = 24
	keyMomentSec = 1.2
)

// keyMoments lists moments of a note, each put together of those of its cycles that sound then.
func (s *subject) keyMoments(moments [][]hearing.Moment, key, dynamicsValue int) (all []hearing.Moment) {
	gains := make([]float64, len(s.m.Layers))
	s.m.LayerGains(float64(dynamicsValue)/127, gains)
	for n := range keyMoments {
		var now []hearing.Moment
		for _, zone := range s.m.ZonesAt(key) {
			z := &s.m.Zones[zone]
			share, ratio := s.m.ZoneGain(z, key), math.Exp2(s.m.ShiftSemitones(z, key)/12)
			for layer, gain := range gains {
				gain *= share
				own := moments[zone*len(s.m.Layers)+layer]
				if gain == 0 || len(own) == 0 {
					continue
				}
				cycle := s.cycle(zone, layer)
				turns := s.m.Start(z, key, 0) +
					keyMomentSec*float64(n)*ratio*float64(cycle.RateHz)/float64(cycle.Frames)
				at := int((turns - math.Floor(turns)) * float64(len(own)))
				now = append(now, own[min(at, len(own)-1)].Moved(ratio, gain*gain))
			}
		}
		all = append(all, hearing.Together(now...))
	}
	return all
}
