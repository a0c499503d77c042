// Rendering one bed: decode and clean its takes, conform them to it, arrange them, write it.

package beds

import (
	"context"
	"errors"
	"fmt"
	"math"
	"path/filepath"

	"lapstrake/mapping/beds/arrange"
	"lapstrake/mapping/beds/clean"
	"lapstrake/mapping/hearing"
	"lapstrake/mapping/project"
	"lapstrake/mapping/takes/decode"
	"lapstrake/mapping/wav"
)

// renderRoot makes beds of one root, the loudest layer first: beside it the next is judged.
func (b *builder) renderRoot(ctx context.Context, missing []*recipe, done func()) error {
	layers := b.report.Settings.Project.Layers
	for at := len(layers) - 1; at >= 0; at-- {
		var own []*recipe
		for _, r := range missing {
			if r.Slot.Layer == layers[at] {
				own = append(own, r)
			}
		}
		if len(own) == 0 {
			continue
		}
		var louder string
		if at+1 < len(layers) {
			louder = layers[at+1]
		}
		all, err := b.renderLayer(ctx, own, louder)
		if err != nil {
			return err
		}
		for _, r := range all {
			if err := b.keepBed(r); err != nil {
				return err
			}
			done()
		}
	}
	return nil
}

// renderedBed is a bed that is made and not written yet.
type renderedBed struct {
	recipe  *recipe
	bed     *arrange.Arranged
	entry   *builtBed
	courses []*hearing.Course
}

// renderBed makes a bed and what the record keeps of it, but for its file.
func (b *builder) renderBed(r *recipe) (*renderedBed, error) {
	parts, at, held, err := b.partsOf(r)
	if err != nil {
		return nil, err
	}
	bed, err := arrange.Bed(parts, r.company, r.Arrange, r.Frames, r.RateHz, r.Seed)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", b.bedPath(r.Slot), err)
	}
	entry := &builtBed{
		Bed: r.Slot.String(), Recipe: r.key(), Parts: make([]arrange.Laid,
			len(r.Parts)), Takes: held, LoudnessLUFS: bed.LoudnessLUFS,
		ShortTermMinLU: known(bed.ShortTermMinLU), ShortTermMaxLU: known(bed.ShortTermMaxLU),
		TruePeakDBTP: bed.TruePeakDBTP, MonoLossDB: bed.MonoLossDB,
	}
	courses := make([]*hearing.Course, len(r.Parts))
	for i, k := range at {
		if k >= 0 {
			entry.Parts[i], courses[i] = bed.Laid[k], bed.Courses[k]
		} else {
			courses[i] = &hearing.Course{}
		}
	}
	return &renderedBed{r, bed, entry, courses}, nil
}

// keepBed writes a bed, with the courses of its takes, and notes it as finished.
func (b *builder) keepBed(r *renderedBed) error {
	path := b.bedPath(r.recipe.Slot)
	if err := writeBed(path, r.bed, r.recipe.RateHz); err != nil {
		return err
	}
	if err := r.entry.stamp(path); err != nil {
		return err
	}
	if err := KeepCourses(path, r.entry.Hash, r.entry.Takes, r.courses); err != nil {
		return err
	}
	return b.record.add(r.entry, r.recipe)
}

// partsOf makes a bed's takes for it. at is the place of each ingredient in parts, -1 where nothing sounds in it; held
// is what the record keeps of each.
func (b *builder) partsOf(r *recipe) (parts []arrange.Part, at []int, held []TakeInBed, err error) {
	at, held = make([]int, len(r.Parts)), r.takes()
	for i := range r.Parts {
		at[i] = -1
		part, done, err := b.conform(&r.Parts[i], r)
		if errors.Is(err, clean.ErrNoSound) {
			continue
		}
		if err != nil {
			return nil, nil, nil, err
		}
		held[i].took(done)
		at[i] = len(parts)
		parts = append(parts, *part)
	}
	return parts, at, held, nil
}

// spareSec is how much more of a take than the bed's own length may be of use in it.
const spareSec = 2

// conform returns an ingredient as it goes into the bed, and what was done to it.
func (b *builder) conform(in *ingredient, r *recipe) (*arrange.Part, *clean.Conformed, error) {
	cleaned, release, err := b.sounds.take(in)
	defer release()
	if err != nil {
		return nil, nil, err
	}
	treat := clean.Treatment{TakeKey: in.TakeKey, TargetKey: in.TargetKey, RootKey: r.Slot.Root, GainDB: in.GainDB,
		KeepPartials: in.KeepPartials}
	if r.darkerDB != nil {
		treat.DarkerDB = *r.darkerDB
	}
	seed := takeSeed(in)
	done, err := cleaned.Conform(treat, r.Conform, r.RateHz, r.Frames+spareSec*r.RateHz, r.Seed^uint64(seed))
	if err != nil {
		return nil, nil, fmt.Errorf("%s: %w", b.takePath(in), err)
	}
	return &arrange.Part{
		Left: done.Left, Right: done.Right, Kind: done.Kind, SteadinessDB: in.row.SteadinessDB,
		BrightnessHz: in.brightnessHz(done.Fit), GainDB: in.GainDB, FavourDB: in.FavourDB, Index: seed,
	}, done, nil
}

// brightnessHz is where the centre of the take's spectrum comes to lie.
func (in *ingredient) brightnessHz(fit clean.Fit) float64 {
	switch {
	case fit.Fitted:
		return in.row.BrightnessHz * math.Exp2(fit.MoveSemitones/12)
	case in.moved == nil:
		return in.row.BrightnessHz
	}
	return in.row.BrightnessHz * math.Exp2(*in.moved/12)
}

func (b *builder) takePath(in *ingredient) string {
	return filepath.Join(b.dir, project.TakesFolder, filepath.FromSlash(in.Path))
}

// clean decodes and cleans a take, which must be the one that was measured.
func (b *builder) clean(in *ingredient) (*clean.Cleaned, error) {
	file := b.takePath(in)
	found, err := decode.Hash(file)
	if err != nil {
		return nil, err
	}
	if found != in.Hash {
		return nil, fmt.Errorf("%s: has changed since it was measured: run `lapstrake intake` and build again", file)
	}
	m, span := in.row.Measures, in.stretch().Span()
	if in.Used != nil {
		span = decode.Span{FromSec: in.FromSec + in.Used.FromSec, ToSec: in.FromSec + in.Used.ToSec}
		m.OnsetSec -= in.Used.FromSec
		m.EndSec -= in.Used.FromSec
	}
	sound, err := decode.Part(file, span)
	if err != nil {
		return nil, err
	}
	m.Kind = in.Kind
	if in.PitchHz > 0 {
		m.Pitch.Hz = in.PitchHz
	}
	return clean.Take(sound, m, in.TakeKey, b.report.Settings.Conform)
}

// writeBed writes 24-bit stereo, whole or not at all.
func writeBed(path string, bed *arrange.Arranged, rateHz int) error {
	w, err := wav.Create(path, rateHz, 2, wav.PCM24)
	if err != nil {
		return err
	}
	defer w.Discard()
	const pieceFrames = 4096
	piece := make([]float32, 0, 2*pieceFrames)
	for i := range bed.Left {
		piece = append(piece, bed.Left[i], bed.Right[i])
		if len(piece) == cap(piece) || i == len(bed.Left)-1 {
			if err := w.WriteFrames(piece); err != nil {
				return err
			}
			piece = piece[:0]
		}
	}
	return w.Commit()
}
