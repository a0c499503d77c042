// Clicks found in noise and in recorded notes, and nothing found in those alone.

package check

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"lapstrake/mapping/sound"
	"lapstrake/mapping/testsound"
	"lapstrake/mapping/testsound/testtakes"
)

// found lists the clicks of a sound by their samples.
func found(samples []float32, rateHz int) []click {
	f := newClickFinder(rateHz)
	whole := make([]float32, (len(samples)/clickCell+1)*clickCell+2*f.margin())
	copy(whole[f.margin():], samples)
	clicks := f.find(whole)
	for i := range clicks {
		clicks[i].Frame -= int64(f.margin())
	}
	return clicks
}

// One sample of −50 dBFS in noise of any colour that lies well below it is found to the sample, with its size. Without
// it nothing is found.
func TestClickInNoise(t *testing.T) {
	const rateHz, frames = 48000, 48000
	for kind, levelDB := range map[testsound.NoiseKind]float64{
		testsound.White: -78, testsound.Reddish: -70, testsound.Humming: -72,
	} {
		missed := 0
		for seed := range uint64(40) {
			samples := testsound.NoiseWave(kind, rateHz, frames, levelDB, seed)
			if clean := found(samples, rateHz); len(clean) > 0 {
				t.Errorf("%v noise, seed %d: found %+v in it", kind, seed, clean)
			}
			at := 10000 + rand.New(rand.NewPCG(seed, 3)).IntN(frames-20000)
			samples[at] += float32(sound.DBToAmplitude(-50))
			clicks := found(samples, rateHz)
			if len(clicks) != 1 || clicks[0].Frame != int64(at) {
				missed++
				continue
			}
			if k := clicks[0]; math.Abs(sound.AmplitudeDB(k.Peak)+50) > 1.5 || k.Jump {
				t.Errorf("%v noise, seed %d: %+v of %.1f dBFS, want a click of -50", kind, seed, k,
					sound.AmplitudeDB(k.Peak))
			}
			// The largest of 9,600 normal values lies at 3.9 standard deviations: 11.8 dB.
			if want := -50 - levelDB - 11.8; kind == testsound.White && math.Abs(clicks[0].OverDB-want) > 2 {
				t.Errorf("white noise, seed %d: stands out by %.1f dB, want %.1f", seed, clicks[0].OverDB, want)
			}
		}
		if missed > 0 {
			t.Errorf("%v noise: %d of 40 missed", kind, missed)
		}
	}
}

// No pluck, stroke, breath or bow clicks. The files were cut at their ends, where the sound breaks off.
func TestRecordingsDoNotClick(t *testing.T) {
	for _, r := range testtakes.In(t, "bassoon", "flute", "guitar-acoustic", "piano", "misc") {
		for _, channel := range r.Sound.Channels {
			for _, k := range found(channel, r.Sound.RateHz) {
				if k.OverDB > 12 && int(k.Frame) < len(channel)-r.Sound.RateHz*3/100 {
					t.Errorf("%s at %.4f s: %+v", r.Name, float64(k.Frame)/float64(r.Sound.RateHz), k)
				}
			}
		}
	}
}

// One sample of −20 dBFS in held and plucked notes is found to the sample.
func TestClickInNotes(t *testing.T) {
	planted, missed := 0, 0
	for seed := range uint64(2) {
		for i, r := range testtakes.In(t, "bassoon", "flute", "guitar-acoustic", "piano") {
			samples := slices.Clone(r.Sound.Channels[0])
			at := len(samples)/4 + rand.New(rand.NewPCG(seed, uint64(i))).IntN(len(samples)/2)
			samples[at] += float32(sound.DBToAmplitude(-20))
			planted++
			if !slices.ContainsFunc(found(samples, r.Sound.RateHz), func(k click) bool {
				return k.Frame == int64(at) && k.OverDB > 12 && math.Abs(sound.AmplitudeDB(k.Peak)+20) < 2
			}) {
				missed++
				t.Logf("%s, at %.4f s: missed", r.Name, float64(at)/float64(r.Sound.RateHz))
			}
		}
	}
	if float64(missed) > 0.02*float64(planted) {
		t.Errorf("%d of %d missed", missed, planted)
	}
}

// What is below the floor, or not a sound at all, does not click.
func TestNoClickWithoutANoiseFloor(t *testing.T) {
	const rateHz = 48000
	for name, samples := range map[string][]float32{
		"silence":                make([]float32, rateHz),
		"a sine":                 testsound.SineWave(rateHz, 440, -12, 1),
		"a tone with harmonics":  testsound.HarmonicWave(rateHz, 55, 1),
		"a pure tone that rises": testsound.SineWave(rateHz, 7000, -1, 1),
	} {
		if clicks := found(samples, rateHz); len(clicks) > 0 {
			t.Errorf("%s: %+v", name, clicks)
		}
		samples[rateHz/2] += float32(sound.DBToAmplitude(-90))
		if clicks := found(samples, rateHz); len(clicks) > 0 {
			t.Errorf("%s, with a click of -90 dBFS: %+v", name, clicks)
		}
	}
}
