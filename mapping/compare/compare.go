// Package compare tells how near one rendering of a score is to another: level, tuning, timing, bands, sides and how
// the level goes over time, and what is likely wrong where they differ. It is for sounds that two programs made of the
// same instrument and score.
package compare

import (
	"errors"
	"math"
	"slices"

	"lapstrake/mapping/sound"
)

// Sound is a rendering: one or two channels, alike long, full scale ±1.
type Sound struct {
	RateHz   int
	Channels [][]float32
}

// Report is how far sound B is from sound A.
type Report struct {
	LoudnessDB  float64    `json:"loudness_db"`           // B above A in LU (ITU-R BS.1770)
	LevelDB     float64    `json:"level_db"`              // B above A where a layer sounds alone, or at most moments
	TuneCents   *float64   `json:"tune_cents"`            // B above A; null: neither has tones enough to tell
	DelaySec    float64    `json:"delay_s"`               // by which B is later
	Correlation float64    `json:"correlation"`           // of the waveforms, −1 to 1; see likeness
	Bands       []BandDiff `json:"bands"`                 // third octaves in which A sounds, beside LevelDB
	Moments     []Moment   `json:"moments"`               // in which A sounds
	SwappedBy   *float64   `json:"sides_agree,omitempty"` // −1 swapped, 1 alike; absent: A's sides do not differ
	Findings    []Finding  `json:"findings"`              // none: B is near A

	roughDelay bool      // told from levels alone
	beside     []float64 // how Moments differ beside what the bands explain
}

// BandDiff is how a third octave differs over the whole.
type BandDiff struct {
	Hz     float64 `json:"hz"`
	ADBFS  float64 `json:"a_dbfs"`
	DiffDB float64 `json:"difference_db"`
}

// Moment is how the level differs for some tenths of a second, beside LevelDB.
type Moment struct {
	Sec    float64 `json:"s"`
	DiffDB float64 `json:"difference_db"`
}

// Near says whether nothing was found.
func (r *Report) Near() bool { return len(r.Findings) == 0 }

// longestSec is how much of two sounds is compared.
const longestSec = 300

// ErrSilent says that there is nothing to compare.
var ErrSilent = errors.New("silent or shorter than a second: expected two renderings of one score")

// Sounds compares B with A. sections tell what is played when, and may be nil.
func Sounds(a, b Sound, sections []Section) (*Report, error) {
	a, b = prepared(a, a.RateHz), prepared(b, a.RateHz)
	if silent(a) || silent(b) {
		return nil, ErrSilent
	}
	r := &Report{Findings: []Finding{}}
	cents, tuned := tuning(a, b)
	if ratio := wholeRatio(cents); tuned && ratio != 1 && stretched(a, b, ratio) {
		r.add(WholeRate, cents, "the whole file is at another rate than it says: it is %+.0f cents off and lasts "+
			"%.3f times as long", cents, 1/ratio)
		b = clone(b)
		sound.Resample(b.Channels, ratio)
		cents, tuned = tuning(a, b)
	}
	if tuned {
		r.TuneCents = &cents
	}
	var delay int
	delay, r.roughDelay = delayFrames(a, b, tuned && math.Abs(cents) < 20)
	r.DelaySec = float64(delay) / float64(a.RateHz)
	b = shifted(b, delay, len(a.Channels[0]))
	r.Correlation = likeness(thin(mono(a), thinned), thin(mono(b), thinned), a.RateHz/thinned)
	r.LoudnessDB = loudness(b) - loudness(a)
	ga, gb := gridOf(a), gridOf(b)
	r.levels(ga, gb, sections)
	r.besideBands(ga, gb, sections)
	r.sides(ga, gb)
	r.judge(a, b, ga, gb, sections)
	return r, nil
}

// prepared has two channels at a rate, and is not too long.
func prepared(s Sound, rateHz int) Sound {
	if len(s.Channels) == 0 {
		return Sound{rateHz, [][]float32{nil, nil}}
	}
	most := min(len(s.Channels[0]), longestSec*s.RateHz)
	out := Sound{rateHz, [][]float32{s.Channels[0][:most], s.Channels[min(1, len(s.Channels)-1)][:most]}}
	if s.RateHz != rateHz {
		out = clone(out)
		sound.Resample(out.Channels, float64(rateHz)/float64(s.RateHz))
	}
	return out
}

func clone(s Sound) Sound {
	return Sound{s.RateHz, [][]float32{slices.Clone(s.Channels[0]), slices.Clone(s.Channels[1])}}
}

func silent(s Sound) bool {
	if len(s.Channels[0]) < s.RateHz {
		return true
	}
	const leastPeak = 1e-6
	return max(sound.Peak(s.Channels[0]), sound.Peak(s.Channels[1])) < leastPeak
}

// shifted brings a sound forward by some frames, or back, to a length.
func shifted(s Sound, by, frames int) Sound {
	out := Sound{s.RateHz, [][]float32{make([]float32, frames), make([]float32, frames)}}
	for c, channel := range s.Channels {
		if from := max(by, 0); from < len(channel) {
			copy(out.Channels[c][min(max(-by, 0), frames):], channel[from:])
		}
	}
	return out
}

func loudness(s Sound) float64 {
	meter := sound.NewMeter(s.RateHz, sound.StereoWeights)
	meter.Add(s.Channels...)
	return meter.LevelLUFS()
}

// mono is the mean of both sides.
func mono(s Sound) []float64 {
	sum := make([]float64, len(s.Channels[0]))
	for k := range sum {
		sum[k] = 0.5 * (float64(s.Channels[0][k]) + float64(s.Channels[1][k]))
	}
	return sum
}
