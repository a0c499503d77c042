// Who is heard: each take in the note as it is played, all ranks and layers together.

package check

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"lapstrake/mapping/ledger"
	"lapstrake/mapping/project"
	"lapstrake/mapping/work"
)

// heard finds the takes that nobody can hear where they are placed, and the contributors who are hardly heard
// anywhere.
func heard(ctx context.Context, s *subject, said *PartReport) error {
	l, err := s.listen(ctx)
	if err != nil || l == nil {
		return err
	}
	said.tell("beds of which nobody kept what their takes excite", float64(len(l.unknown)), "", lessIsBetter)
	if len(l.unknown) > 0 {
		said.judge(s.limits.HeardUnknownBeds, Finding{
			What: "heard_unknown_beds", Place: Place{Bed: l.unknown[0]}, Figure: float64(len(l.unknown)), Unit: "beds",
			Text: fmt.Sprintf("of %d beds, %s among them, nobody kept what their takes excite, so who is heard in "+
				"them is not known", len(l.unknown), l.unknown[0]),
		}, func() string { return "lapstrake build DIR makes these beds anew, and keeps it" })
	}
	if len(l.placements) == 0 {
		return nil
	}
	l.tellPlacements(said)
	if err := l.judgePlacements(ctx, said); err != nil {
		return err
	}
	said.Heard = l.table()
	said.Drawings = append(said.Drawings, l.drawHeard())
	l.judgeContributors(said)
	return nil
}

// best is the place of the dynamics at which a placement is heard the longest, and for how long.
func (p *placement) best() (dynamics int, sec float64) { return p.Best(p.wantedSec) }

// enough says whether a placement is heard for as long as the limit asks.
func (p *placement) enough() bool {
	_, sec := p.best()
	return sec >= p.wantedSec
}

// within are limits that ask for no more than wantedSec.
func within(limits []float64, wantedSec float64) []float64 {
	part := min(wantedSec/max(limits[0], 1e-9), 1)
	return []float64{part * limits[0], part * limits[1]}
}

// tellPlacements tells how many placements are heard.
func (l *listening) tellPlacements(said *PartReport) {
	enough := fmt.Sprintf("heard for %g s or more of each turn", l.s.limits.HeardSec[0])
	said.tell("placements of takes", float64(len(l.placements)), "", neither)
	percent := func(count, of int) float64 { return 100 * float64(count) / float64(max(of, 1)) }
	for i, dynamics := range ledger.Dynamics {
		shares, sounding, enoughHere := 0.0, 0, 0
		for k := range l.placements {
			p := &l.placements[k]
			fare := &p.Fares[i]
			if len(fare.Keys) == 0 {
				continue
			}
			sounding++
			shares += fare.Share()
			if fare.Sec() >= p.wantedSec {
				enoughHere++
			}
		}
		said.tell(fmt.Sprintf("placements heard at dynamics %d, mean share of their time", dynamics),
			100*shares/float64(max(sounding, 1)), "%", moreIsBetter)
		said.tell(fmt.Sprintf("placements %s at dynamics %d", enough, dynamics), percent(enoughHere, sounding), "%",
			moreIsBetter)
	}
	enoughAnywhere := 0
	for k := range l.placements {
		if p := &l.placements[k]; p.enough() {
			enoughAnywhere++
		}
	}
	said.tell("placements "+enough+" at their best dynamics", percent(enoughAnywhere, len(l.placements)), "%",
		moreIsBetter)
}

// judgePlacements finds the takes that are not heard enough in some of their beds: one finding a take, about the bed
// in which it is heard the least.
func (l *listening) judgePlacements(ctx context.Context, said *PartReport) error {
	byTake := map[string][]*placement{}
	for k := range l.placements {
		byTake[l.placements[k].take] = append(byTake[l.placements[k].take], &l.placements[k])
	}
	var least []*placement // of each take that is not heard enough
	for _, places := range byTake {
		worst := slices.MinFunc(places, func(a, b *placement) int {
			_, secA := a.best()
			_, secB := b.best()
			return cmp.Or(cmp.Compare(secA, secB), cmp.Compare(a.Bed, b.Bed))
		})
		if !worst.enough() {
			least = append(least, worst)
		}
	}
	slices.SortFunc(least, func(a, b *placement) int { return cmp.Compare(a.take, b.take) })
	reasons := make([]reason, len(least))
	err := work.Each(ctx, len(least), func(_ context.Context, i int) error {
		reasons[i] = l.why(least[i])
		return nil
	})
	if err != nil {
		return err
	}
	for i, p := range least {
		dynamics, sec := p.best()
		var all []float64
		for _, on := range p.Fares[dynamics].Keys {
			all = append(all, on.Sec)
		}
		said.judge(within(l.s.limits.HeardSec, p.wantedSec), Finding{
			What: "heard_sec", Place: Place{Take: p.take, Bed: p.Bed, Dynamics: &ledger.Dynamics[dynamics]},
			Figure: sec,
			Unit:   "s", Spread: spread(all) / math.Sqrt(float64(max(len(all), 1))),
			Text: l.placementText(p, byTake[p.take], &reasons[i]),
		}, func() string { return l.cureBuried(p, byTake[p.take], &reasons[i]) })
	}
	return nil
}

// judgeContributors finds those who are heard for too short a time even where they are heard the longest.
func (l *listening) judgeContributors(said *PartReport) {
	limits := within(l.s.limits.ContributorSec, partOfTurn*l.turnSec)
	enough := 0
	for _, c := range said.Heard.Contributors {
		if c.Sec >= limits[0] {
			enough++
		}
		said.judge(limits, Finding{
			What: "contributor_sec", Place: Place{Contributor: c.Contributor}, Figure: c.Sec, Unit: "s",
			Text: contributorText(c, l.s.names(c.Key)),
		}, func() string {
			return fmt.Sprintf("%s, favour_db: +6 for %s has their takes lead longer; or see the findings on their "+
				"takes",
				project.ContributorsFile, c.Contributor)
		})
	}
	said.tell("contributors", float64(len(said.Heard.Contributors)), "", neither)
	if len(said.Heard.Contributors) == 0 {
		return
	}
	said.tell(fmt.Sprintf("contributors heard for %g s or more of a turn somewhere", l.s.limits.ContributorSec[0]),
		100*float64(enough)/float64(len(said.Heard.Contributors)), "%", moreIsBetter)
	said.tell("contributor heard least, at the longest", said.Heard.Contributors[0].Sec, "s", moreIsBetter)
}

func contributorText(c ContributorHeard, key string) string {
	if c.Sec == 0 {
		return c.Contributor + " is heard nowhere"
	}
	return fmt.Sprintf("%s is nowhere heard for more than %.1f s of a turn, which is on %s at dynamics %d",
		c.Contributor, c.Sec, key, c.Dynamics)
}
