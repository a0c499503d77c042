// Hearing a take: as it was received, as it was made for a bed, as that bed has it, and the bed.

package beds

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"lapstrake/mapping/beds/arrange"
	"lapstrake/mapping/beds/clean"
	"lapstrake/mapping/project"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes"
	"lapstrake/mapping/takes/decode"
)

// Version is a way to hear a take.
type Version string

// The versions, in the order in which a take goes through them.
const (
	Received Version = "received" // its stretch of the recording, untouched
	Made     Version = "made"     // trimmed, cleaned, tuned for a bed
	Alone    Version = "alone"    // as that bed has it, without the others
	InBed    Version = "bed"      // the bed that it is in, with all others
)

// Versions lists them.
var Versions = []Version{Received, Made, Alone, InBed}

// HeardTake is a take in one version.
type HeardTake struct {
	Version     Version
	Left, Right []float32 // alike long
	RateHz      int
	GainDB      float64 // by which it was brought to the loudness of the others
}

// matchedLUFS is the loudness to which versions are brought (EBU R 128). Where the peaks of one would pass
// matchedPeakDBTP, all of them stay softer.
const (
	matchedLUFS     = -23
	matchedPeakDBTP = -1
)

// ErrInNoBed says that a take is in no bed: it can be heard as received alone.
var ErrInNoBed = errors.New("is in no bed")

// Hear gives some versions of a take of the project in dir, as loud as each other. bed is one that it is in, as a map
// names it or by its name alone; "" takes the first. Only recordings and beds are read. A take that is in no bed gives
// ErrInNoBed where a version needs one.
func Hear(dir, take, bed string, versions []Version) ([]HeardTake, error) {
	h, err := openHearing(dir, take)
	if err != nil {
		return nil, err
	}
	var all []HeardTake
	for _, version := range versions {
		one, err := h.version(version, bed)
		if err != nil {
			return nil, err
		}
		one.Version = version
		all = append(all, one)
	}
	matchLoudness(all)
	return all, nil
}

// BedsOf lists the beds that a take of the project in dir goes into, by their names, by the settings and the sheet as
// they are.
func BedsOf(dir, take string) (names []string, err error) {
	h, err := openHearing(dir, take)
	if err != nil {
		return nil, err
	}
	for _, r := range h.recipes {
		names = append(names, r.Slot.String())
	}
	return names, nil
}

// takeHearing is a project, opened for one take.
type takeHearing struct {
	b       *builder
	row     *takes.Row
	recipes []*recipe // of the beds that it is in
}

func openHearing(dir, take string) (*takeHearing, error) {
	settings, err := project.Load(dir)
	if err != nil {
		return nil, err
	}
	sheetPath := filepath.Join(dir, project.SheetFile)
	sheet, err := takes.ReadSheet(sheetPath, takes.OptionsOf(&settings))
	if err != nil {
		return nil, err
	}
	at := slices.IndexFunc(sheet.Rows, func(row takes.Row) bool { return row.Name() == take })
	if at < 0 {
		return nil, fmt.Errorf("%s: no take %q: expected one as the column take has it, and its stretch where it "+
			"has one",
			sheetPath, take)
	}
	h := &takeHearing{b: &builder{dir: dir}, row: &sheet.Rows[at]}
	h.b.sounds = newSoundShelf(h.b.clean)
	if err := h.b.open(); err != nil && !errors.Is(err, ErrNoTakes) {
		return nil, err
	}
	for i := range h.b.recipes {
		if r := &h.b.recipes[i]; r.part(take) != nil {
			h.recipes = append(h.recipes, r)
		}
	}
	return h, nil
}

// part is the ingredient that is a take; nil where it is none.
func (r *recipe) part(take string) *ingredient {
	for i := range r.Parts {
		if takes.TakeName(r.Parts[i].Path, r.Parts[i].stretch()) == take {
			return &r.Parts[i]
		}
	}
	return nil
}

// recipeOf is that of a bed that the take is in.
func (h *takeHearing) recipeOf(bed string) (*recipe, error) {
	if len(h.recipes) == 0 {
		return nil, fmt.Errorf("%s %w", h.row.Name(), ErrInNoBed)
	}
	if bed == "" {
		return h.recipes[0], nil
	}
	name := path.Base(filepath.ToSlash(bed))
	for _, r := range h.recipes {
		if r.Slot.String() == name || strings.TrimSuffix(r.Slot.String(), ".wav") == name {
			return r, nil
		}
	}
	var all []string
	for _, r := range h.recipes {
		all = append(all, r.Slot.String())
	}
	return nil, fmt.Errorf("%s is not in the bed %s: expected one of %s", h.row.Name(), bed, strings.Join(all, ", "))
}

func (h *takeHearing) version(version Version, bed string) (HeardTake, error) {
	if version == Received {
		return h.received()
	}
	r, err := h.recipeOf(bed)
	if err != nil {
		return HeardTake{}, err
	}
	if version == Made {
		part, _, err := h.b.conform(r.part(h.row.Name()), r)
		if errors.Is(err, clean.ErrNoSound) {
			return HeardTake{}, fmt.Errorf("%s: nothing sounds in it: %w", h.row.Name(), err)
		}
		if err != nil {
			return HeardTake{}, err
		}
		return HeardTake{Left: part.Left, Right: part.Right, RateHz: r.RateHz}, nil
	}
	if version == Alone {
		return h.alone(r)
	}
	file := h.b.bedPath(r.Slot)
	whole, err := wholeSound(file, decode.Span{})
	if errors.Is(err, fs.ErrNotExist) {
		err = fmt.Errorf("%s: not built yet: make it with `lapstrake build`", file)
	}
	return whole, err
}

// alone arranges the bed and keeps what the take contributes to it.
func (h *takeHearing) alone(r *recipe) (HeardTake, error) {
	if err := h.b.meetCompanies(context.Background(), []*recipe{r}); err != nil {
		return HeardTake{}, err
	}
	parts, at, _, err := h.b.partsOf(r)
	if err != nil {
		return HeardTake{}, err
	}
	for i := range r.Parts {
		if &r.Parts[i] != r.part(h.row.Name()) {
			continue
		}
		if at[i] < 0 {
			return HeardTake{}, fmt.Errorf("%s: nothing sounds in it: %w", h.row.Name(), clean.ErrNoSound)
		}
		left, right, err := arrange.Alone(parts, at[i], r.company, r.Arrange, r.Frames, r.RateHz, r.Seed)
		return HeardTake{Left: left, Right: right, RateHz: r.RateHz}, err
	}
	return HeardTake{}, fmt.Errorf("%s %w", h.row.Name(), ErrInNoBed)
}

// received reads the take's stretch of its file.
func (h *takeHearing) received() (HeardTake, error) {
	file := filepath.Join(h.b.dir, project.TakesFolder, filepath.FromSlash(h.row.Path))
	return wholeSound(file, h.row.Span())
}

// wholeSound reads both sides of a span of a file; a file of one channel has it on both.
func wholeSound(file string, span decode.Span) (HeardTake, error) {
	sound, err := decode.Part(file, span)
	if err != nil {
		return HeardTake{}, err
	}
	last := min(len(sound.Channels), 2) - 1
	return HeardTake{Left: sound.Channels[0], Right: sound.Channels[last], RateHz: sound.RateHz}, nil
}

// matchLoudness brings versions to one loudness, without a peak that would pass the most; silence stays.
func matchLoudness(all []HeardTake) {
	lessDB := 0.0
	for i := range all {
		all[i].GainDB = matchingDB(&all[i])
		if !(all[i].GainDB < 100) {
			all[i].GainDB = 0
			continue
		}
		peakDB := sound.AmplitudeDB(truePeakOf(all[i].Left, all[i].Right))
		lessDB = max(lessDB, peakDB+all[i].GainDB-matchedPeakDBTP)
	}
	for i := range all {
		all[i].GainDB -= lessDB
		all[i].Left, all[i].Right = scaled(all[i].Left, all[i].Right, sound.DBToAmplitude(all[i].GainDB))
	}
}

// matchingDB is the gain that brings a version to the loudness that all shall have. It is measured under the gain
// itself: what was too soft for the gate at −70 LUFS counts once it is raised.
func matchingDB(h *HeardTake) (gainDB float64) {
	for range 3 {
		left, right := scaled(h.Left, h.Right, sound.DBToAmplitude(gainDB))
		gainDB += matchedLUFS - loudnessOf(left, right, h.RateHz)
		if !(gainDB < 100) {
			break
		}
	}
	return gainDB
}

// loudnessOf is the integrated loudness in LUFS; of what is too short or too soft for the gates, the level without
// them.
func loudnessOf(left, right []float32, rateHz int) float64 {
	meter := sound.NewMeter(rateHz, sound.StereoWeights)
	meter.Add(left, right)
	if loudness := meter.IntegratedLUFS(); loudness > -70 {
		return loudness
	}
	return meter.LevelLUFS()
}

func truePeakOf(channels ...[]float32) (highest float64) {
	for _, channel := range channels {
		var meter sound.PeakMeter
		meter.Add(channel)
		highest = max(highest, meter.TruePeak())
	}
	return highest
}

// scaled are copies: what is decoded or shelved may be in use elsewhere.
func scaled(left, right []float32, gain float64) (scaledLeft, scaledRight []float32) {
	scaledLeft, scaledRight = make([]float32, len(left)), make([]float32, len(right))
	for i := range left {
		scaledLeft[i], scaledRight[i] = left[i]*float32(gain), right[i]*float32(gain)
	}
	return scaledLeft, scaledRight
}

// AtRate is the sound as interleaved stereo at a rate.
func (h *HeardTake) AtRate(rateHz int) []float32 {
	channels := [][]float32{slices.Clone(h.Left), slices.Clone(h.Right)}
	if h.RateHz != rateHz {
		sound.Resample(channels, float64(rateHz)/float64(h.RateHz))
	}
	stereo := make([]float32, 2*len(channels[0]))
	for i, left := range channels[0] {
		stereo[2*i], stereo[2*i+1] = left, channels[1][i]
	}
	return stereo
}
