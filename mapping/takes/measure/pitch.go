// The pitch of a recorded note: its fundamental, how sure that is, and how far it drifts.

package measure

import (
	"math"

	"lapstrake/mapping/sound"
)

// Pitch is what FindPitch hears in one take.
type Pitch struct {
	Hz         float64 // the fundamental, the median over the sounding part; NaN where no pitch was found
	Confidence float64 // 0 to 1; from SurePitch on the pitch may be relied on
	DriftCents float64 // from the 10th to the 90th percentile of the pitch over the sounding part, vibrato included
	Several    bool    // more than one pitch sounds at a time: a chord
}

// SurePitch is the confidence from which a pitch counts. On recorded notes it is reached by nearly all, on noise,
// cymbals, speech and chords by almost none: see TestPitchRecordings and TestPitchNone.
const SurePitch = 0.5

// Pitches outside of this range are not looked for.
const (
	lowestPitchHz  = 20
	highestPitchHz = 5000
	lowestRateHz   = 2000 // of sound stored more coarsely than any recording
)

// Sure reports whether the pitch may be relied on.
func (p Pitch) Sure() bool { return p.Confidence >= SurePitch }

// Key is the nearest MIDI key and by how many cents the pitch lies above it (ISO 16: key 69 is 440 Hz); key −1
// and NaN where there is no pitch.
func (p Pitch) Key() (key int, cents float64) {
	if math.IsNaN(p.Hz) || p.Hz <= 0 {
		return -1, math.NaN()
	}
	exact := sound.HzKey(p.Hz)
	nearest := math.Round(exact)
	return int(nearest), 100 * (exact - nearest)
}

// FindPitch finds the pitch of a single note in mono sound (full scale ±1, any length). Sound before the onset
// serves as the measure of noise and hum. It is a pure function and safe from many goroutines.
//
// Method: a spectrum is averaged over the sounding part, without what was there before the onset. Every
// fundamental on a fine grid, with several stiffnesses of a string, is rated by how much of the spectrum it
// explains (the generalised autocorrelation of Tolonen & Karjalainen 2000, which is SWIPE's kernel of Camacho &
// Harris 2008 without its windows) and by how many of the partials that it foretells are there (the two-way
// mismatch of Maher & Beauchamp 1994). The best is then followed through shorter windows by the advance of the
// phase of its low partials (Flanagan & Golden 1966), whose median is the pitch.
func FindPitch(mono []float32, rateHz int) Pitch {
	none := Pitch{Hz: math.NaN(), DriftCents: math.NaN()}
	if rateHz < lowestRateHz || len(mono) == 0 {
		return none
	}
	x, rate := pitchSamples(pitchStretch(mono, rateHz), rateHz)
	part, ok := findPitchPart(x, rate)
	if !ok {
		return none
	}
	a := newPitchAnalyser(rate)
	s := a.average(x, part)
	if len(s.peaks) == 0 {
		return none
	}
	rated := rateSeries(s.peaks)
	if len(rated) == 0 {
		return none
	}
	best := rated[0]
	track := a.follow(x, part, best)
	p := Pitch{Hz: track.hz, DriftCents: track.driftCents}
	p.Several = commonMeasure(s.peaks, best) || secondPitch(s.peaks, best) > severalFrom
	p.Confidence = pitchConfidence(s, best, track, p.Several, float64(part.end-part.begin)/rate)
	return p
}
