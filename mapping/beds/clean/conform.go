// Conform gives every take the same treatment, so that takes from many rooms can sound as one bed.

package clean

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"lapstrake/mapping/hearing"
	"lapstrake/mapping/project"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes/decode"
	"lapstrake/mapping/takes/measure"
)

// Treatment says as what a take is to sound in one bed.
type Treatment struct {
	// the key that the take has by its measured pitch or by the builder's word; −1: none, not tuned
	TakeKey      int
	TargetKey    int     // the key it is to sound at: the bed's root, or octaves from it
	RootKey      int     // the bed's root, on whose harmonics the take is to lie
	GainDB       float64 // the builder's correction on top of the common loudness
	KeepPartials int     // the builder's correction of the setting: 0 as set, −1 all of them
	DarkerDB     float64 // what it falls with each octave from DarkenedFromHz on, beyond the setting
}

// Conformed is a take ready to be arranged, and what was done to it.
type Conformed struct {
	Left, Right []float32 // alike long; the same slice twice for a take whose channels are alike
	RateHz      int
	Kind        measure.Kind
	OnsetFrame  int // where the sound begins
	EndFrame    int // where it has sunk into its noise, or ends

	FundamentalHz float64   // as conformed; NaN: none known
	TunedCents    float64   // how far the pitch was moved
	LowCutHz      float64   // what lies below was removed, in frequencies as conformed; 0: nothing
	HumLinesHz    []float64 // the lines that were removed, in the take's own frequencies
	Clicks        int       // mended in it
	DenoisedDB    float64   // how far its noise was reduced
	KeptPartials  int       // 0: all
	Fit           Fit       // to the harmonics of the root
	GainDB        float64   // against the take's own level, the builder's correction included
	LoudnessLUFS  float64   // as conformed
	PeakGuarded   bool      // softer than asked, or its peaks would have passed the highest allowed
}

// ErrNoSound is what Take and Conform return for a take in which nothing sounds.
var ErrNoSound = errors.New("nothing sounds in it: leave it out (use = no) or replace the file")

// Cleaned is a take trimmed and cleaned at its own pitch and rate: what is the same for every bed it goes into.
type Cleaned struct {
	channels             [][]float32 // one when both sides are alike
	rateHz               int
	kind                 measure.Kind
	onsetFrame, endFrame int
	fundamentalHz        float64 // its own fundamental; NaN: none known
	lowCutHz             float64
	humLinesHz           []float64
	clicks               int
	denoisedDB           float64
	tones                []hearing.Moment // of its beginning, for Fit
}

// Take trims a take and frees it of rumble, hum and noise: all that does not depend on where the take goes. takeKey is
// as in Treatment. The sound itself is not changed. Equal arguments give equal samples. Safe from many goroutines. The
// error is ErrNoSound for silence.
func Take(sound *decode.Sound, m measure.Measures, takeKey int, set project.ConformSettings) (*Cleaned, error) {
	if sound.RateHz <= 0 {
		return nil, fmt.Errorf("cannot take %d frames a second: expected more than 0", sound.RateHz)
	}
	channels := workingCopy(sound)
	if len(channels[0]) == 0 {
		return nil, ErrNoSound
	}
	span := findTrim(len(channels[0]), sound.RateHz, m, set)
	c := &Cleaned{rateHz: sound.RateHz, kind: m.Kind, onsetFrame: span.onset - span.from,
		endFrame: span.end - span.from}
	if m.Kind == measure.Held {
		c.clicks = removeClicks(channels, sound.RateHz)
	}
	c.fundamentalHz = fundamental(channels, sound.RateHz, span, m.Pitch.Hz, takeKey)
	c.lowCutHz = lowCutHz(c.fundamentalHz, set)
	removeRumble(channels, sound.RateHz, c.lowCutHz, set.RumbleOrder)
	if set.Hum {
		c.humLinesHz = removeHum(channels, sound.RateHz, span, c.fundamentalHz, m)
	}
	c.denoisedDB = denoise(channels, sound.RateHz, span, c.fundamentalHz, m, set)
	span.cut(channels)
	for i, channel := range channels {
		channels[i] = slices.Clone(channel) // what was cut off need not be kept
	}
	c.channels = channels
	if set.Tune {
		c.tones = tonesOf(channels, c.rateHz, max(c.onsetFrame, 0), min(c.endFrame, len(channels[0])))
	}
	return c, nil
}

// Bytes is how much memory the take's samples hold.
func (c *Cleaned) Bytes() int { return 4 * len(c.channels) * len(c.channels[0]) }

// Conform tunes a cleaned take to its target key (ISO 16) at rateHz frames a second and levels it; c stays as it is,
// so that many goroutines may share it. Equal arguments give equal samples. Of a long take at most mostFrames are
// returned: of struck ones the beginning, of others a stretch that seed chooses.
func (c *Cleaned) Conform(treat Treatment, set project.ConformSettings, rateHz, mostFrames int,
	seed uint64) (*Conformed, error) {
	if rateHz <= 0 {
		return nil, fmt.Errorf("cannot go to %d frames a second: expected more than 0", rateHz)
	}
	ratio := 1.0 // of the target's frequency to the take's own
	out := &Conformed{RateHz: rateHz, Kind: c.kind, HumLinesHz: c.humLinesHz, DenoisedDB: c.denoisedDB,
		Clicks: c.clicks}
	if set.Tune && !math.IsNaN(c.fundamentalHz) {
		ratio = sound.KeyHz(float64(treat.TargetKey)) / c.fundamentalHz
		out.TunedCents = 1200 * math.Log2(ratio)
	}
	out.Fit = c.fit(treat, set, ratio)
	if out.Fit.Fitted {
		ratio = math.Exp2(out.Fit.MoveSemitones / 12)
	}
	if out.Fit.Waits {
		out.Kind = measure.Noisy
	}
	out.FundamentalHz, out.LowCutHz = c.fundamentalHz*ratio, c.lowCutHz*ratio
	framesRatio := float64(rateHz) / (float64(c.rateHz) * ratio)
	channels, from := c.stretch(float64(mostFrames)/framesRatio, seed)
	sound.Resample(channels, framesRatio)
	frames := len(channels[0])
	place := func(at int) int { return int(math.Round(float64(at-from) * framesRatio)) }
	out.OnsetFrame = min(frames-1, max(0, place(c.onsetFrame)))
	out.EndFrame = min(frames, place(c.endFrame))

	out.KeptPartials = keptPartials(treat.KeepPartials, set.KeepPartials, out.FundamentalHz)
	cutAbovePartial(channels, rateHz, out.FundamentalHz, out.KeptPartials)
	tilt(channels, rateHz, sound.KeyHz(float64(treat.RootKey)), set.SoftTiltDB)
	tilt(channels, rateHz, DarkenedFromHz(treat.RootKey), treat.DarkerDB)
	lowerStrays(channels, rateHz, sound.KeyHz(float64(treat.RootKey)), out.Fit.LoweredDB, out.OnsetFrame)
	if !out.level(channels, treat.GainDB, set) {
		return nil, ErrNoSound
	}
	out.Left, out.Right = channels[0], channels[len(channels)-1]
	return out, nil
}

// stretch copies at most so many frames of the take, and says where they begin. Ends that lie inside the sound are
// faded so that they do not click.
func (c *Cleaned) stretch(mostFrames float64, seed uint64) (channels [][]float32, from int) {
	frames := len(c.channels[0])
	t := trim{to: frames}
	if most := max(int(min(mostFrames, float64(frames))), 1); most < frames {
		if c.kind != measure.Struck {
			t.from = int(seed % uint64(frames-most+1))
		}
		t.to = t.from + most
		t.fadeOutFrames = min(int(clickSec*float64(c.rateHz)), most)
		if t.from > 0 {
			t.fadeInFrames = t.fadeOutFrames
		}
	}
	for _, channel := range c.channels {
		channels = append(channels, slices.Clone(channel[t.from:t.to]))
	}
	trim{to: t.to - t.from, fadeInFrames: t.fadeInFrames, fadeOutFrames: t.fadeOutFrames}.cut(channels)
	return channels, t.from
}

// workingCopy is the take as one or two channels that may be changed: one when both sides are alike, which halves the
// work for takes recorded with one microphone.
func workingCopy(sound *decode.Sound) [][]float32 {
	left, right := sound.Stereo()
	if slices.Equal(left, right) {
		return [][]float32{slices.Clone(left)}
	}
	return [][]float32{slices.Clone(left), slices.Clone(right)}
}
