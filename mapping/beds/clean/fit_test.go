package clean

import (
	"math"
	"testing"

	"lapstrake/mapping/hearing"
	"lapstrake/mapping/project"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes/measure"
	"lapstrake/mapping/testsound"
	"lapstrake/mapping/testsound/testtakes"
)

// bell has the partials of a tuned minor-third bell against its strike note: hum, prime, tierce, quint, nominal
// (Rossing, Science of Percussion Instruments, 2000; values from memory).
func bell(strikeHz float64) []float32 {
	samples := make([]float32, 3*48000)
	for _, ratio := range []float64{0.5, 1, 1.2, 1.5, 2} {
		testsound.AddTones(samples, 48000, strikeHz*ratio, 0.1, 1)
	}
	return samples
}

// gridOf measures one channel as conformed.
func gridOf(samples []float32, rootHz float64) hearing.Grid {
	return hearing.OnGrid(hearing.TonesOf([][]float32{samples}, 48000, rootHz, rootHz), rootHz)
}

// levelAt is the level of a tone in dB.
func levelAt(samples []float32, hz float64) float64 {
	re, im := 0.0, 0.0
	from, to := len(samples)/4, 3*len(samples)/4
	for i := from; i < to; i++ {
		w := sound.Hann(i-from, to-from)
		sin, cos := math.Sincos(2 * math.Pi * hz * float64(i) / 48000)
		re, im = re+w*cos*float64(samples[i]), im+w*sin*float64(samples[i])
	}
	return 10 * math.Log10(re*re+im*im)
}

// A bell, which has no plain pitch, is moved so that most of it lies on the root; its tierce, which fits nowhere, is
// lowered by as much as is told and no more, and its other partials stay as they are.
func TestBellIsFittedAndItsStraysLowered(t *testing.T) {
	set := project.DefaultConformSettings()
	for _, key := range []float64{60.4, 64, 67.7} {
		m := clean(measure.Held, math.NaN(), 0, 3)
		take := testtakes.Mono(48000, bell(sound.KeyHz(key)))
		c, err := conform(take, m, Treatment{TakeKey: -1, TargetKey: 54, RootKey: 54}, set, 48000)
		if err != nil {
			t.Fatal(err)
		}
		f, rootHz := c.Fit, sound.KeyHz(54)
		if got := gridOf(c.Left, rootHz).OffShare; !f.Fitted || math.Abs(f.MoveSemitones) > 6 || got > 0.2 {
			t.Errorf("key %v: %+v, %.2f off the grid, want at most 0.2", key, f, got)
		}
		all, err := conform(take, m, Treatment{TakeKey: -1, TargetKey: 54, RootKey: 54, KeepPartials: -1}, set, 48000)
		if err != nil {
			t.Fatal(err)
		}
		if all.Fit.LoweredDB != 0 || all.Fit.MoveSemitones != f.MoveSemitones {
			t.Errorf("key %v, all partials kept: %+v", key, all.Fit)
		}
		strikeHz := sound.KeyHz(key + f.MoveSemitones)
		reference := 0.0
		for i, ratio := range []float64{2, 1, 0.5, 1.5, 1.2} { // the nominal fits where anything does
			hz := strikeHz * ratio
			by := levelAt(c.Left, hz) - levelAt(all.Left, hz)
			if i == 0 {
				reference = by
			}
			want := 0.0
			if hearing.IsOff(hz, rootHz) {
				want = -f.LoweredDB
			}
			if math.Abs(by-reference-want) > 1.5 {
				t.Errorf("key %v: partial %v changed by %.1f dB, want %.1f", key, ratio, by-reference, want)
			}
		}
	}
}

// A take in tune is not touched: the samples are those that come with the lowering switched off.
func TestNothingIsLoweredInTune(t *testing.T) {
	samples := make([]float32, 2*48000)
	testsound.AddTones(samples, 48000, sound.KeyHz(60), 0.2, 8)
	m := clean(measure.Held, sound.KeyHz(60), 0, 2)
	set := project.DefaultConformSettings()
	with, err := conform(testtakes.Mono(48000, samples), m, Treatment{TakeKey: 60, TargetKey: 57, RootKey: 57}, set,
		48000)
	if err != nil {
		t.Fatal(err)
	}
	if with.Fit.LoweredDB != 0 || with.Fit.OffShare > 0.01 || with.Fit.Fitted {
		t.Errorf("%+v of a take in tune", with.Fit)
	}
}

// Noise is coloured towards the root, by as much as the setting says.
func TestNoiseIsColoured(t *testing.T) {
	samples := make([]float32, 3*48000)
	testsound.AddHiss(samples, 0.2, 7)
	m := clean(measure.Noisy, math.NaN(), 0, 3)
	set := project.DefaultConformSettings()
	share := func(colour float64) float64 {
		set.NoiseColour = colour
		c, err := conform(testtakes.Mono(48000, samples), m, Treatment{TakeKey: -1, TargetKey: 84, RootKey: 84}, set,
			48000)
		if err != nil {
			t.Fatal(err)
		}
		return gridOf(c.Left, sound.KeyHz(84)).OffShare
	}
	plain, half, full := share(0), share(0.5), share(1)
	if !(plain > 0.6 && half < plain-0.2 && full < 0.25) {
		t.Errorf("off the grid: %.2f uncoloured, %.2f by half, %.2f in full", plain, half, full)
	}
}
