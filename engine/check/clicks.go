// Clicks in the beds as they are played, joins and the end of the turn included.

package check

import (
	"context"
	"fmt"
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
	clickPieceSec = 2     // of a cycle that is looked at at once
	sameClickSec  = 0.002 // within which clicks of both sides are one
	takeEndSec    = 0.02  // from either end of a take: the build trims and fades there
)

// clicks finds clicks in every cycle and tells those of each bed as one finding, the worst of which speaks for all.
func clicks(ctx context.Context, s *subject, said *PartReport) error {
	if err := s.hash(ctx); err != nil {
		return err
	}
	layers := len(s.m.Layers)
	found := make([][]click, len(s.m.Zones)*layers)
	tally := work.NewTally(float64(len(found)), s.progress)
	err := work.Each(ctx, len(found), func(_ context.Context, i int) (err error) {
		defer tally.Add(1)
		found[i], err = cached(s.cache, "clicks, "+s.cycleKey(i/layers, i%layers), func() ([]click, error) {
			return cycleClicks(s.cycle(i/layers, i%layers))
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
		if err := s.judgeClicks(said, i/layers, i%layers, found[i]); err != nil {
			return err
		}
	}
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
func (s *subject) judgeClicks(said *PartReport, zone, layer int, found []click) error {
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
		cure, err := s.cureClick(path, at[bed], k.Jump)
		if err != nil {
			return err
		}
		said.judge(s.limits.ClickDB, Finding{
			What:   "click_db",
			Place:  Place{Bed: path, Layer: s.m.Layers[layer], Rank: z.Rank, Keys: []int{z.Root}, AtSec: at[bed]},
			Figure: k.OverDB, Unit: "dB", Spread: k.SpreadDB,
			Text: fmt.Sprintf("%s at %.3f s of %s, in keys %s to %s: a peak of %.0f dBFS that the sound around it does not "+
				"foretell%s", k.word(), at[bed], path, s.name(z.Low), s.name(z.High), sound.AmplitudeDB(k.Peak),
				others(many[bed]-1)),
		}, func() string { return cure })
	}
	return nil
}

// word is what a click is called.
func (k click) word() string {
	if k.Jump {
		return "the sound jumps"
	}
	return "it clicks"
}

func others(n int) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprintf("; %s more in this bed", plural.Of(n, "click"))
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

// cureClick names the take of a bed that clicks, if one does.
func (s *subject) cureClick(path string, sec float64, jump bool) (string, error) {
	dir := filepath.Dir(s.MapPath)
	contents, err := beds.ReadContents(dir, []string{path})
	if err != nil {
		return "", err
	}
	if contents[0].Edited {
		return fmt.Sprintf("lapstrake build DIR --force makes %s anew: it was edited by hand", path), nil
	}
	if len(contents[0].Takes) == 0 {
		return fmt.Sprintf("mend %s at %.3f s: no build made it", path, sec), nil
	}
	worst, cure := click{}, ""
	var names []string
	for _, take := range contents[0].Takes {
		names = append(names, take.Path)
		k, atSec, wholeSec, err := s.takeClick(dir, take)
		if err != nil || k.OverDB <= worst.OverDB {
			continue // a take that cannot be read any more says nothing
		}
		worst = k
		cell := fmt.Sprintf("from_s: %.2f", atSec+0.05)
		if atSec > wholeSec/2 {
			cell = fmt.Sprintf("to_s: %.2f", atSec-0.05)
		}
		cure = fmt.Sprintf("takes.csv, %s for %s, which clicks at %.2f s; or use: no", cell, take.Path, atSec)
	}
	switch {
	case cure != "":
		return cure, nil
	case jump:
		return fmt.Sprintf("lapstrake build DIR makes %s anew once it is deleted: none of its takes clicks", path), nil
	}
	return "takes.csv, from_s and to_s, or use: no, for that of these which you hear click: " + wordList(names), nil
}

// takeClick is the worst click within a take, and where in its file it lies.
func (s *subject) takeClick(dir string, take beds.TakeInBed) (worst click, atSec, wholeSec float64, err error) {
	type result struct {
		Click           click
		AtSec, WholeSec float64
	}
	key := fmt.Sprint("clicks of a take, ", take.Hash, take.Stretch)
	r, err := cached(s.cache, key, func() (r result, err error) {
		file := filepath.Join(dir, project.TakesFolder, filepath.FromSlash(take.Path))
		part, err := decode.Part(file, take.Stretch.Span())
		if err != nil {
			return r, err
		}
		r.WholeSec = take.Stretch.FromSec + part.Seconds()
		f := newClickFinder(part.RateHz)
		whole := make([]float32, (part.Frames()/clickCell+1)*clickCell+2*f.margin())
		for _, channel := range part.Channels {
			clear(whole)
			copy(whole[f.margin():], channel)
			for _, k := range f.find(whole) {
				sec := float64(k.Frame-int64(f.margin())) / float64(part.RateHz)
				if k.OverDB > r.Click.OverDB && sec > takeEndSec && sec < part.Seconds()-takeEndSec {
					r.Click, r.AtSec = k, take.Stretch.FromSec+sec
				}
			}
		}
		return r, nil
	})
	return r.Click, r.AtSec, r.WholeSec, err
}
