// Clicks in the beds as they are played, joins and the end of the turn included.

package check

import (
	"context"
	"fmt"
	"slices"

	"lapstrake/engine/stream"
	"lapstrake/mapping/plural"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/work"
)

const (
	clickPieceSec = 2     // of a cycle that is looked at at once
	sameClickSec  = 0.002 // within which clicks of both sides are one
)

// clicks finds clicks in every cycle and in every take, where nothing lies over it. It tells those of each bed, and
// those of each take, as one finding, the worst of which speaks for all. What a take brings into a bed is not the
// bed's.
func clicks(ctx context.Context, s *subject, said *PartReport) error {
	if err := s.readContents(ctx); err != nil {
		return err
	}
	layers := len(s.m.Layers)
	found := make([][]click, len(s.m.Zones)*layers)
	tally := work.NewTally(float64(len(found)), s.progress)
	err := work.Each(ctx, len(found), func(_ context.Context, i int) (err error) {
		defer tally.Add(1)
		zone, layer := i/layers, i%layers
		key := fmt.Sprintf("clicks beyond %v dB, %s, %s", s.limits.ClickDB[0], s.cycleKey(zone, layer),
			s.takesKey(zone, layer))
		found[i], err = cached(s.cache, key, func() ([]click, error) {
			found, err := cycleClicks(s.cycle(zone, layer))
			if err != nil {
				return nil, err
			}
			return s.sourced(zone, layer, found)
		})
		return err
	})
	if err != nil {
		return err
	}
	count, worst := 0, 0.0
	for i := range found {
		for _, k := range found[i] {
			if k.OverDB > s.limits.ClickDB[0] {
				count++
			}
			worst = max(worst, k.OverDB)
		}
		s.judgeClicks(said, i/layers, i%layers, found[i])
	}
	inTakes, worstInTakes, err := s.takeClicks(ctx, said)
	if err != nil {
		return err
	}
	count, worst = count+inTakes, max(worst, worstInTakes)
	said.tell("clicks", float64(count), "", lessIsBetter)
	said.tell("click that stands out most", worst, "dB", lessIsBetter)
	return nil
}

// cycleClicks lists the clicks of one turn by their frames in it.
func cycleClicks(c *stream.Cycle) (found []click, err error) {
	f := newClickFinder(c.RateHz)
	step := max(clickPieceSec*c.RateHz/clickCell, 1) * clickCell
	frames := step + 2*f.margin()
	both, one := make([]float32, 2*frames), make([]float32, frames)
	for from := int64(0); from < c.Frames; from += int64(step) {
		if err := c.ReadFrames(both, from-int64(f.margin())); err != nil {
			return nil, err
		}
		for side := range 2 {
			for i := range one {
				one[i] = both[2*i+side]
			}
			for _, k := range f.find(one) {
				k.Frame += from - int64(f.margin())
				k.Side = side
				if k.Frame < c.Frames {
					found = append(found, k)
				}
			}
		}
	}
	return oneOfBothSides(found, c.RateHz), nil
}

// oneOfBothSides keeps of clicks at one moment the one that stands out most, in the order of time.
func oneOfBothSides(found []click, rateHz int) (kept []click) {
	slices.SortFunc(found, func(a, b click) int { return int(a.Frame - b.Frame) })
	for _, k := range found {
		last := len(kept) - 1
		if last < 0 || k.Frame-kept[last].Frame > int64(sameClickSec*float64(rateHz)) {
			kept = append(kept, k)
		} else if k.OverDB > kept[last].OverDB {
			kept[last] = k
		}
	}
	return kept
}

// judgeClicks tells the clicks of one cycle, bed by bed.
func (s *subject) judgeClicks(said *PartReport, zone, layer int, found []click) {
	cycle, z := s.cycle(zone, layer), s.m.Zones[zone]
	paths := z.Beds[s.m.Layers[layer]]
	worst, many, at := make([]click, len(paths)), make([]int, len(paths)), make([]float64, len(paths))
	for _, k := range found {
		bed, sec := bedPlace(cycle, k.Frame, s.m.OverlapSec)
		if k.OverDB > s.limits.ClickDB[0] {
			many[bed]++
		}
		if k.OverDB > worst[bed].OverDB {
			worst[bed], at[bed] = k, sec
		}
	}
	for bed, path := range paths {
		k := worst[bed]
		if many[bed] == 0 {
			continue
		}
		said.judge(s.limits.ClickDB, Finding{
			What:   "click_db",
			Place:  Place{Bed: path, Layer: s.m.Layers[layer], Rank: z.Rank, Keys: []int{z.Root}, AtSec: at[bed]},
			Figure: k.OverDB, Unit: "dB", Spread: k.SpreadDB,
			Text: fmt.Sprintf("%s at %.3f s of %s, in keys %s to %s: a peak of %.0f dBFS that the sound around it "+
				"does not foretell%s", k.word(), at[bed], path, s.name(z.Low), s.name(z.High),
				sound.AmplitudeDB(k.Peak),
				others(many[bed]-1, "bed")),
		}, func() string { return s.cureClick(path, at[bed]) })
	}
}

// word is what a click is called.
func (k click) word() string {
	if k.Jump {
		return "the sound jumps"
	}
	return "it clicks"
}

func others(n int, where string) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprintf("; %s more in this %s", plural.Of(n, "click"), where)
}

// bedPlace is the bed that leads at a frame of a cycle, by its index, and where in that bed the frame lies.
func bedPlace(c *stream.Cycle, frame int64, overlapSec float64) (bed int, sec float64) {
	stretches := c.Stretches()
	last := stretches[len(stretches)-1]
	if frame >= last.To {
		frame -= c.Frames // the first bed has taken over
	}
	for _, stretch := range stretches {
		if frame >= stretch.From && frame < stretch.To {
			return stretch.Bed, overlapSec/2 + float64(frame-stretch.From)/float64(c.RateHz)
		}
	}
	return last.Bed, 0
}

// cureClick makes the bed anew.
func (s *subject) cureClick(path string, sec float64) string {
	held := s.contents[path]
	switch {
	case held.Edited:
		return fmt.Sprintf("lapstrake build DIR --force makes %s anew: it was edited by hand", path)
	case len(held.Takes) == 0:
		return fmt.Sprintf("mend %s at %.3f s: no build made it", path, sec)
	}
	return fmt.Sprintf("lapstrake build DIR makes %s anew once it is deleted: none of its takes clicks so", path)
}
