// Loud is brighter than soft: beds that came out no darker than those of the next louder layer are darkened.

package beds

import (
	"context"
	"fmt"
	"slices"

	"lapstrake/mapping/beds/clean"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes/decode"
)

const (
	darkerERB      = 0.8  // by so much shall the cycle of a layer be darker than that of the next louder one
	darkerStepDB   = 0.05 // darkening goes by such steps
	darkerRounds   = 3    // darkened takes are brought back to their share of the bed, which takes part of it away
	brightPerERB   = 2.0  // bands in which brightness is measured
	brightSpectrum = 0.08 // seconds of each spectrum
)

// recallDarker finds by how much beds were darkened when they were made of the same parts before.
func (b *builder) recallDarker() {
	for i := range b.recipes {
		if known := b.record.knownCompany(&b.recipes[i]); known != nil {
			b.recipes[i].darkerDB = known.DarkerDB
		}
	}
}

// tellDarker reports the beds that are darkened.
func (b *builder) tellDarker() {
	for i := range b.recipes {
		if r := &b.recipes[i]; r.darkerDB != nil && *r.darkerDB > 0 && !b.isEdited(r) {
			b.report.Darkened = append(b.report.Darkened, fmt.Sprintf("%s: %.2f dB an octave", r.Slot, *r.darkerDB))
		}
	}
}

// renderLayer makes beds of one layer and root, darker than the cycle of the next louder layer, "" where there is
// none, as far as the settings allow. By how much is remembered for beds of the same parts, so that a change to a take
// of another layer, or in the other strand, changes none of them.
func (b *builder) renderLayer(ctx context.Context, own []*recipe, louder string) (all []*renderedBed, err error) {
	all = make([]*renderedBed, len(own))
	for i, r := range own {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if all[i], err = b.renderBed(r); err != nil {
			return nil, err
		}
	}
	var open []int // places in own
	for i, r := range own {
		if r.darkerDB == nil && r.Conform.DarkenMostDB > 0 && louder != "" {
			open = append(open, i)
		}
	}
	if len(open) == 0 {
		return all, nil
	}
	slot, mostDB := own[0].Slot, own[0].Conform.DarkenMostDB
	bright := newBrightness(b.report.Settings.Project.RateHz)
	for _, r := range b.cycle(louder, slot.Root) {
		bright.addFile(b.bedPath(r.Slot))
	}
	brightestERB := bright.centreERB() - darkerERB
	fixed := newBrightness(b.report.Settings.Project.RateHz)
	for _, r := range b.cycle(slot.Layer, slot.Root) {
		switch at := slices.Index(own, r); {
		case at < 0:
			fixed.addFile(b.bedPath(r.Slot))
		case !slices.Contains(open, at):
			fixed.add(all[at].bed.Left, all[at].bed.Right)
		}
	}
	darkerDB := 0.0
	for round := 0; round < darkerRounds && brightestERB > 0; round++ {
		now := newBrightness(b.report.Settings.Project.RateHz)
		for _, i := range open {
			now.add(all[i].bed.Left, all[i].bed.Right)
		}
		moreDB := darkerBy(now.powers, fixed.powers, brightestERB, slot.Root, mostDB-darkerDB)
		if moreDB <= 0 {
			break
		}
		darkerDB += moreDB
		for _, i := range open {
			own[i].darkerDB = &darkerDB
			if all[i], err = b.renderBed(own[i]); err != nil {
				return nil, err
			}
		}
	}
	for _, i := range open {
		own[i].darkerDB = &darkerDB
	}
	return all, nil
}

// cycle are the recipes of a layer on a root that have beds.
func (b *builder) cycle(layer string, root int) (all []*recipe) {
	for i := range b.recipes {
		if r := &b.recipes[i]; r.Slot.Layer == layer && r.Slot.Root == root && len(r.Parts) > 0 {
			all = append(all, r)
		}
	}
	return all
}

// darkerBy is the least fall, in dB an octave, under which the sum of what may fall and of what is fixed is no brighter
// than it may be, or the most that is allowed.
func darkerBy(open, fixed []float64, brightestERB float64, root int, mostDB float64) float64 {
	now := make([]float64, len(open))
	for steps := 0.0; ; steps++ {
		db := min(steps*darkerStepDB, mostDB)
		for band := range now {
			hz := sound.ERBHz((float64(band) + 0.5) / brightPerERB)
			now[band] = fixed[band] + open[band]*sound.DBToPower(-db*clean.DarkenedDB(hz, root))
		}
		if db >= mostDB || sound.CentreERB(now, brightPerERB) <= brightestERB {
			return db
		}
	}
}

// brightness gathers the powers of beds in bands of 1/brightPerERB ERB.
type brightness struct {
	powers []float64
	rateHz int
}

func newBrightness(rateHz int) *brightness {
	return &brightness{make([]float64, int(brightPerERB*sound.ERBNumber(float64(rateHz)/2))+1), rateHz}
}

func (b *brightness) centreERB() float64 { return sound.CentreERB(b.powers, brightPerERB) }

// add adds the sound of a bed.
func (b *brightness) add(channels ...[]float32) {
	p := sound.BorrowSpectrum(sound.PowerOfTwo(brightSpectrum, b.rateHz))
	defer p.GiveBack()
	bandOf := make([]int, p.SizeFrames/2+1)
	for bin := range bandOf {
		hz := float64(bin) * float64(b.rateHz) / float64(p.SizeFrames)
		bandOf[bin] = int(brightPerERB * sound.ERBNumber(hz))
	}
	for _, channel := range channels {
		for at := 0; at < len(channel); at += p.SizeFrames / 2 {
			for bin, power := range p.At(channel, at) {
				b.powers[bandOf[bin]] += power
			}
		}
	}
}

// addFile adds a bed as it lies there; one that cannot be read, or is at another rate, tells nothing.
func (b *brightness) addFile(path string) {
	if bed, err := decode.Part(path, decode.Span{}); err == nil && bed.RateHz == b.rateHz {
		b.add(bed.Channels...)
	}
}
