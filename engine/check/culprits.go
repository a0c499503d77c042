// Which takes bring tones into a bed that are off its root's harmonics.

package check

import (
	"cmp"
	"fmt"
	"math"
	"path/filepath"
	"slices"

	"lapstrake/mapping/beds"
	"lapstrake/mapping/hearing"
	"lapstrake/mapping/project"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes"
	"lapstrake/mapping/takes/decode"
)

// culprits knows which takes the beds hold, as far as the record of the build tells.
type culprits struct {
	*subject
	known int // beds whose takes are known
}

func (s *subject) newCulprits() *culprits {
	c := &culprits{subject: s}
	for _, bed := range s.contents {
		if len(bed.Takes) > 0 {
			c.known++
		}
	}
	return c
}

// untuned counts the takes that are in beds at the pitch that they came with.
func (c *culprits) untuned() int {
	names := map[string]bool{}
	for _, bed := range c.contents {
		for _, t := range bed.Takes {
			if t.Move == nil {
				names[takes.TakeName(t.Path, t.Stretch)] = true
			}
		}
	}
	return len(names)
}

// culprit is the take that most of a bed's stray tones come from; the zero culprit is nobody.
type culprit struct {
	take    beds.TakeInBed
	moments []hearing.Moment // of the file, at its own pitch
	share   float64          // of the power of the stray tones
}

// of finds the take that has most of the stray tones of a bed, each of which belongs to the take that has it strongest
// against its own loudness. Files that are gone or cannot be read have none.
func (c *culprits) of(bed string, stray []hearing.Tone, root int) culprit {
	const sameCents = 35
	held := c.contents[bed].Takes
	all := make([]culprit, len(held))
	tones := make([][]hearing.Tone, len(held))
	for i, t := range held {
		all[i] = culprit{take: t, moments: c.takeMoments(t)}
		moved := make([]hearing.Moment, len(all[i].moments))
		for k, m := range all[i].moments {
			moved[k] = m.Moved(math.Exp2(all[i].move()/12), 1/max(m.Weighted, 1e-20))
		}
		tones[i] = hearing.OffGrid(moved, sound.KeyHz(float64(root)))
	}
	sum := 0.0
	for _, s := range stray {
		sum += s.Power
		whose, strongest := -1, 0.0
		for i := range held {
			for _, t := range tones[i] {
				if math.Abs(1200*math.Log2(t.Hz/s.Hz)) < sameCents && t.Power > strongest {
					whose, strongest = i, t.Power
				}
			}
		}
		if whose >= 0 {
			all[whose].share += s.Power
		}
	}
	if len(all) == 0 || sum == 0 {
		return culprit{}
	}
	most := slices.MaxFunc(all, func(a, b culprit) int { return cmp.Compare(a.share, b.share) })
	most.share /= sum
	if most.share == 0 {
		return culprit{}
	}
	return most
}

// takeMoments are those of a take's file; none where it cannot be read.
func (c *culprits) takeMoments(t beds.TakeInBed) []hearing.Moment {
	const lowHz, highHz = 20, 16000
	file := filepath.Join(filepath.Dir(c.MapPath), project.TakesFolder, filepath.FromSlash(t.Path))
	key := fmt.Sprintf("tones of take %s %s %s", t.Path, t.Hash, t.Stretch)
	moments, err := cached(c.cache, key, func() ([]hearing.Moment, error) {
		sound, err := decode.Part(file, t.Stretch.Span())
		if err != nil {
			return nil, err
		}
		return hearing.TonesOf(sound.Channels, sound.RateHz, lowHz, highHz), nil
	})
	if err != nil {
		return nil
	}
	return moments
}

func (g culprit) move() float64 {
	if g.take.Move == nil {
		return 0
	}
	return *g.take.Move
}

func (g culprit) name() string {
	if g.share == 0 {
		return ""
	}
	return takes.TakeName(g.take.Path, g.take.Stretch)
}

// text says who it is, as the end of a sentence.
func (g culprit) text() string {
	switch {
	case g.share == 0:
		return ""
	case g.take.Move == nil:
		return fmt.Sprintf("; %.0f %% of that comes from %s, which is at its own pitch", 100*g.share, g.name())
	}
	return fmt.Sprintf("; %.0f %% of that comes from %s, moved by %+.1f semitones", 100*g.share, g.name(), g.move())
}

// cure is the cell to change.
func (g culprit) cure(root int) string {
	if g.share == 0 {
		return "takes.csv, key, bed or use of its takes; if the bed was not built here, tune what is in it to its root"
	}
	moves, after := hearing.BestMove(g.moments, sound.KeyHz(float64(root)), 6)
	own := hearing.OnGrid(g.moments, sound.KeyHz(float64(root)))
	row := "takes.csv, row of " + g.name()
	if g.take.Move == nil && after.OffShare < own.OffShare/2 {
		return fmt.Sprintf("%s, key: %d, which moves it by %+.1f semitones: then %.0f instead of %.0f %% of it "+
			"are off", row, int(math.Round(float64(root)-moves)), moves, 100*after.OffShare, 100*own.OffShare)
	}
	return row + ", bed: a root that its tones fit; or keep_partials: fewer; or use: no"
}
