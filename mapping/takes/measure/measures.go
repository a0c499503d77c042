// What is measured on one take.

package measure

import (
	"math"

	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes/decode"
)

// Measures are the numbers that are found in a take. A number that a take does not have is NaN (the attack of
// silence, the loudness of a take without a block above the gate); −Inf is a level of nothing at all.
type Measures struct {
	Format   string  // "WAV", "FLAC" …, as Sound has it
	RateHz   int     // frames a second
	Bits     int     // stored bits a sample; 0 for lossy coding
	Float    bool    // the samples are stored as floating point
	Channels int     // 0 when there is no sound
	Seconds  float64 // all of it, silence included

	PeakDBFS     float64 // highest sample of any channel
	TruePeakDBTP float64 // ITU-R BS.1770-5, annex 2
	DCPercent    float64 // largest mean of any channel, in hundredths of full scale, with its sign
	ClippedRuns  int     // runs of samples held at a channel's highest or lowest value
	ClippedMs    float64 // length of these runs together, of the worst channel

	// integrated, gated (ITU-R BS.1770-5, annex 1); NaN: shorter than 400 ms, or nothing above the gate
	LoudnessLUFS     float64
	MaxShortTermLUFS float64 // loudest 3 s (EBU Tech 3341); NaN: shorter
	MaxMomentaryLUFS float64 // loudest 400 ms (EBU Tech 3341); NaN: shorter
	// K-weighted level from onset to end, without gate, however short: what levels short takes
	KLevelLUFS float64

	NoiseFloorDBFS float64 // RMS of what is there when the take does not sound, hum included, DC not
	// the floor was measured where the take does not sound; false: between its partials, an upper bound
	NoiseFromPauses bool
	SNRDB           float64 // RMS from onset to end over the noise floor
	HumDBFS         float64 // RMS of the mains lines together; NaN: none found
	HumMainsHz      int     // 50 or 60; 0: none found

	OnsetSec float64 // from the first frame to the beginning of the sound; NaN: none
	EndSec   float64 // from the first frame to where the sound has sunk into the noise; NaN: none

	// somebody speaks before or after the sound, and all other measures leave it out; or nothing else is heard
	Speech  bool
	Strikes int // how often the sound sets in anew, the first included; 0: none

	AttackSec    float64 // onset to where the level first comes within 3 dB of the attack's highest
	DecayDBPerS  float64 // how fast the level falls after its highest; negative when it rises; NaN: shorter than 0.2 s
	SteadinessDB float64 // spread (RMS) of the level around that fall; small is steady; NaN: shorter than 0.2 s

	BrightnessHz float64 // centroid of the spectrum, weighed by ERB bands
	BandwidthHz  float64 // upper edge of the highest ERB band within 60 dB of the loudest and 6 dB above the noise
	Noisiness    float64 // 0: all power in partials, 1: all of it noise

	Width       float64 // power of the side over that of mid and side: 0 mono, 0.5 unrelated channels, 1 opposite
	Correlation float64 // of left and right, −1 to 1; NaN when a side is silent
	BalanceDB   float64 // left over right
	MonoLossDB  float64 // what the mono sum loses against the power of both sides: 0 alike, 3 unrelated, +Inf opposite

	Fingerprint Fingerprint // of the beginning, by which the same recording is known again in another encoding

	Pitch   Pitch
	Leading Leading // where the pitch is not sure
	Kind    Kind
}

// Kind is what a take does.
type Kind string

// The kinds.
const (
	Struck Kind = "struck" // onset and decay
	Held   Kind = "held"   // goes on
	Noisy  Kind = "noisy"  // no usable pitch
)

// Absent are the measures of a sound in which nothing can be measured.
func Absent() Measures {
	nan := math.NaN()
	return Measures{
		PeakDBFS: math.Inf(-1), TruePeakDBTP: math.Inf(-1),
		LoudnessLUFS: nan, MaxShortTermLUFS: nan, MaxMomentaryLUFS: nan, KLevelLUFS: nan,
		NoiseFloorDBFS: nan, SNRDB: nan, HumDBFS: nan, OnsetSec: nan, EndSec: nan,
		AttackSec: nan, DecayDBPerS: nan, SteadinessDB: nan,
		BrightnessHz: nan, BandwidthHz: nan, Noisiness: nan,
		Width: nan, Correlation: nan, BalanceDB: nan, MonoLossDB: nan,
		Pitch: Pitch{Hz: nan, DriftCents: nan}, Leading: Leading{Hz: nan}, Kind: Noisy,
	}
}

// Take finds all measures of a take. It is a pure function and safe from many goroutines. Levels are those of the
// channels as stored; what concerns the course of the sound is measured on one channel (see analysisSignal).
func Take(s *decode.Sound) Measures {
	m, samples := measureSound(s)
	if math.IsNaN(m.OnsetSec) {
		return m
	}
	if m.Pitch = FindPitch(samples, s.RateHz); m.Pitch.Sure() {
		m.Leading = Absent().Leading
	}
	m.Kind = kindOf(&m)
	return m
}

// measureSound finds all but pitch and kind, and gives the channel that the pitch is to be looked for in.
func measureSound(s *decode.Sound) (m Measures, samples []float32) {
	m = Absent()
	m.Format, m.RateHz, m.Bits, m.Float, m.Channels = s.Format, s.RateHz, s.Bits, s.Float, len(s.Channels)
	if s.RateHz <= 0 || s.Frames() == 0 {
		return m, nil
	}
	m.Seconds = s.Seconds()
	measureWidth(s, &m)
	samples = analysisSignal(s, &m)
	b := newBlocks(samples, s.RateHz)
	from, to, speech := b.withoutSpeech(samples, s.RateHz)
	if speech {
		samples, m.Speech = samples[from:to], true
		s = s.Part(from, to)
		b = newBlocks(samples, s.RateHz)
		measureWidth(s, &m)
	}
	measureLevels(s, &m)
	measureCourse(s, samples, b, &m)
	m.OnsetSec += float64(from) / float64(s.RateHz)
	m.EndSec += float64(from) / float64(s.RateHz)
	return m, samples
}

// measureCourse fills in what depends on where the sound begins and ends, in seconds from the first of samples, which
// are s on one channel.
func measureCourse(s *decode.Sound, samples []float32, b *blocks, m *Measures) {
	onset, end, found := findSounding(samples, s.RateHz, b)
	if !found {
		measureLoudness(s, 0, s.Frames(), m)
		return
	}
	spectrum := newTakeSpectrum(samples, s.RateHz, onset, end)
	onset, end = spectrum.withoutPauses(b, onset, end, len(samples), s.RateHz)
	measureNoise(samples, s.RateHz, onset, end, b, spectrum, m)
	m.OnsetSec, m.EndSec = float64(onset)/float64(s.RateHz), float64(end)/float64(s.RateHz)
	m.Strikes = len(strikeBlocks(samples, s.RateHz).strikeStarts(onset, end))
	m.Fingerprint = findFingerprint(samples, s.RateHz, onset)
	measureLoudness(s, onset, end, m)
	measureHum(samples, s.RateHz, onset, end, m)
	measureEnvelope(samples, s.RateHz, onset, end, m)
	measureSpectrum(spectrum, m)
	m.Leading = findLeading(samples, s.RateHz, onset, end)
}

// offsetThatMatters is of full scale. A smaller mean is that of the waves of a low sound, and silence around it is
// better left alone.
const offsetThatMatters = 1e-3

// analysisSignal is the mean of the channels without its offset; the loudest channel alone where the channels cancel
// each other by more than 6 dB.
func analysisSignal(s *decode.Sound, m *Measures) []float32 {
	mono := s.Mono()
	if m.MonoLossDB > 6 {
		loudest := 0.0
		for _, channel := range s.Channels {
			if square := sound.MeanSquare(channel); square >= loudest {
				mono, loudest = channel, square
			}
		}
	}
	offset := float32(sound.Mean(mono))
	if math.Abs(float64(offset)) < offsetThatMatters {
		return mono
	}
	without := make([]float32, len(mono))
	block := max(1, int(blockSec*float64(s.RateHz)))
	for at := 0; at < len(mono); at += block {
		part := mono[at:min(at+block, len(mono))]
		if sound.Peak(part) == 0 { // digital silence has no offset, and must stay silence
			continue
		}
		for i, x := range part {
			without[at+i] = x - offset
		}
	}
	return without
}

func mean(values []float64) float64 {
	sum := 0.0
	for _, v := range values {
		sum += v
	}
	return sum / float64(len(values))
}
