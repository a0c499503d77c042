// Clicks that takes bring with them.

package check

import (
	"context"
	"fmt"
	"maps"
	"slices"

	"lapstrake/mapping/beds"
	"lapstrake/mapping/plural"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes"
	"lapstrake/mapping/work"
)

// takeEndSec is how far from either end of a take it cannot click: the build trims and fades there.
const takeEndSec = 0.03

// usedTake is a take and the beds that it is in.
type usedTake struct {
	take beds.TakeInBed
	beds []string
	takeClicked
}

// takeClicked is what was found of a take.
type takeClicked struct {
	Clicks   []click // by their frames in the take, beyond the limit
	RateHz   int
	WholeSec float64
}

// takeClicks finds the clicks within the takes of all beds, and judges them. Takes that cannot be read any more have
// none.
func (s *subject) takeClicks(ctx context.Context, said *PartReport) (count int, worst float64, err error) {
	used := s.usedTakes()
	tally := work.NewTally(float64(len(used)), s.progress)
	err = work.Each(ctx, len(used), func(_ context.Context, i int) error {
		defer tally.Add(1)
		u := &used[i]
		key := fmt.Sprint("clicks of a take, ", u.take.Hash, u.take.Stretch)
		u.takeClicked, _ = cached(s.cache, key, func() (takeClicked, error) { return s.findTakeClicks(u.take) })
		return nil
	})
	if err != nil {
		return 0, 0, err
	}
	for i := range used {
		u := &used[i]
		beyond := 0
		var most click
		for _, k := range u.Clicks {
			if k.OverDB > s.limits.ClickDB[0] {
				beyond++
			}
			if k.OverDB > most.OverDB {
				most = k
			}
		}
		count, worst = count+beyond, max(worst, most.OverDB)
		if beyond > 0 {
			s.judgeTakeClick(said, u, most, beyond)
		}
	}
	return count, worst, nil
}

// usedTakes lists the takes of all beds.
func (s *subject) usedTakes() []usedTake {
	all := map[string]*usedTake{}
	for _, path := range s.m.BedPaths() {
		for _, take := range s.contents[path].Takes {
			name := takes.TakeName(take.Path, take.Stretch)
			if all[name] == nil {
				all[name] = &usedTake{take: take}
			}
			all[name].beds = append(all[name].beds, path)
		}
	}
	var used []usedTake
	for _, name := range slices.Sorted(maps.Keys(all)) {
		used = append(used, *all[name])
	}
	return used
}

// findTakeClicks lists the clicks within a take.
func (s *subject) findTakeClicks(take beds.TakeInBed) (found takeClicked, err error) {
	part, err := s.readTake(take)
	if err != nil {
		return found, err
	}
	found.RateHz, found.WholeSec = part.RateHz, part.Seconds()
	f := newClickFinder(part.RateHz)
	whole := make([]float32, (part.Frames()/clickCell+1)*clickCell+2*f.margin())
	end := int64(takeEndSec * float64(part.RateHz))
	for side, channel := range part.Channels {
		clear(whole)
		copy(whole[f.margin():], channel)
		for _, k := range f.find(whole) {
			k.Frame, k.Side = k.Frame-int64(f.margin()), side
			if k.Frame >= end && k.Frame < int64(part.Frames())-end {
				found.Clicks = append(found.Clicks, k)
			}
		}
	}
	found.Clicks = oneOfBothSides(found.Clicks, part.RateHz)
	return found, nil
}

// judgeTakeClick judges a take by the click that stands out most.
func (s *subject) judgeTakeClick(said *PartReport, u *usedTake, k click, many int) {
	name := takes.TakeName(u.take.Path, u.take.Stretch)
	sec := float64(k.Frame) / float64(u.RateHz)
	atSec := u.take.Stretch.FromSec + sec
	said.judge(s.limits.ClickDB, Finding{
		What: "click_db", Place: Place{Take: name, Bed: u.beds[0]}, Figure: k.OverDB, Unit: "dB", Spread: k.SpreadDB,
		Text: fmt.Sprintf("%s clicks at %.3f s: a peak of %.0f dBFS that the sound around it does not foretell%s; "+
			"it is in %s",
			name, atSec, sound.AmplitudeDB(k.Peak), others(many-1, "take"), plural.Of(len(u.beds), "bed")),
	}, func() string {
		cell := fmt.Sprintf("from_s: %.2f", atSec+0.05)
		if sec > u.WholeSec/2 {
			cell = fmt.Sprintf("to_s: %.2f", atSec-0.05)
		}
		return fmt.Sprintf("takes.csv, %s for %s; or use: no", cell, name)
	})
}
