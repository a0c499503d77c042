package clean

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"sync"
	"testing"

	"lapstrake/mapping/project"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes/decode"
	"lapstrake/mapping/takes/measure"
	"lapstrake/mapping/testsound"
	"lapstrake/mapping/testsound/testtakes"
)

// ordinary is a stereo take with everything that Conform cures.
func ordinary(rateHz int, sec float64) (*decode.Sound, measure.Measures) {
	sound := &decode.Sound{RateHz: rateHz}
	frames := int(sec * float64(rateHz))
	for side := range 2 {
		samples := make([]float32, frames)
		testsound.AddTones(samples[frames/10:9*frames/10], rateHz, 233+float64(side)/10, 0.2, 10)
		testsound.AddTones(samples, rateHz, 50, 0.01, 4)
		testsound.AddHiss(samples, 0.003, uint64(side))
		sound.Channels = append(sound.Channels, samples)
	}
	m := clean(measure.Held, 233, 0.1*sec, 0.9*sec)
	m.SNRDB, m.HumMainsHz = 30, 50
	return sound, m
}

func TestConformIsRepeatableAndLeavesTheTake(t *testing.T) {
	sound, m := ordinary(44100, 2)
	before := [][]float32{slices.Clone(sound.Channels[0]), slices.Clone(sound.Channels[1])}
	set := project.DefaultConformSettings()
	set.KeepPartials = 4
	results := make([]*Conformed, 6)
	var group sync.WaitGroup
	for i := range results {
		group.Go(func() {
			// Others use the shared buffers in between.
			other, measures := ordinary(32000, 0.3+0.1*float64(i))
			if _, err := conform(other, measures, Treatment{TakeKey: 58, TargetKey: 52 + i}, set, 48000); err != nil {
				t.Error(err)
			}
			var err error
			if results[i], err = conform(sound, m, Treatment{TakeKey: 58, TargetKey: 60}, set, 48000); err != nil {
				t.Error(err)
			}
		})
	}
	group.Wait()
	if t.Failed() {
		return
	}
	for _, r := range results[1:] {
		if !slices.Equal(r.Left, results[0].Left) || !slices.Equal(r.Right, results[0].Right) {
			t.Fatal("two runs give different samples")
		}
	}
	if !slices.Equal(before[0], sound.Channels[0]) || !slices.Equal(before[1], sound.Channels[1]) {
		t.Error("the take was changed")
	}
	if slices.Equal(results[0].Left, results[0].Right) {
		t.Error("both sides are alike")
	}
}

// Both sides get the same treatment: the image stays where it was.
func TestConformKeepsTheImage(t *testing.T) {
	sound, m := ordinary(44100, 2)
	for i, x := range sound.Channels[0] {
		sound.Channels[1][i] = x / 2
	}
	conformed, err := conform(sound, m, Treatment{TakeKey: 58, TargetKey: 60}, project.DefaultConformSettings(), 48000)
	if err != nil {
		t.Fatal(err)
	}
	for i, x := range conformed.Left {
		if math.Abs(float64(x/2-conformed.Right[i])) > 1e-5 {
			t.Fatalf("frame %d: %v left, %v right, want half", i, x, conformed.Right[i])
		}
	}
}

// Whatever comes, what goes out is finite, of some length, under the highest peak, and its marks lie within it.
func TestConformTakesAnything(t *testing.T) {
	set := project.DefaultConformSettings()
	set.KeepPartials = 3
	for _, rateHz := range []int{100, 8000, 192000} {
		for _, frames := range []int{1, 2, 3, 64, rateHz / 20, rateHz / 3} {
			for _, kind := range []measure.Kind{measure.Struck, measure.Noisy} {
				for _, key := range []int{-1, 20, 60, 115} {
					samples := make([]float32, frames)
					testsound.AddHiss(samples, 0.3, 1)
					if frames == 1 {
						samples[0] = 1
					}
					m := measure.Measures{Kind: kind, OnsetSec: math.NaN(), EndSec: math.NaN(), SNRDB: 10,
						HumMainsHz: 50, Pitch: measure.Pitch{Hz: math.NaN()}}
					if key == 60 {
						m.Pitch.Hz, m.OnsetSec, m.EndSec = 261, 0.4, 99
					}
					conformed, err := conform(testtakes.Mono(rateHz, samples), m,
						Treatment{TakeKey: key, TargetKey: max(key, 24) - 12}, set, 48000)
					if errors.Is(err, ErrNoSound) {
						continue // nothing is left of a frame or two
					}
					what := fmt.Sprintf("%d frames at %d Hz, %s, key %d", frames, rateHz, kind, key)
					if err != nil {
						t.Fatalf("%s: %v", what, err)
					}
					if n := len(conformed.Left); n == 0 || n != len(conformed.Right) || conformed.OnsetFrame < 0 ||
						conformed.OnsetFrame >= n || conformed.EndFrame <= 0 || conformed.EndFrame > n {
						t.Fatalf("%s: %d and %d frames, onset %d, end %d", what, n, len(conformed.Right),
							conformed.OnsetFrame, conformed.EndFrame)
					}
					for i, x := range conformed.Left {
						if !(math.Abs(float64(x)) < 0.9) { // −1 dBFS is 0.891
							t.Fatalf("%s: frame %d is %v", what, i, x)
						}
					}
				}
			}
		}
	}
}

func TestConformRefusesSilence(t *testing.T) {
	for _, frames := range []int{0, 1, 48000} {
		for _, offset := range []float32{0, 0.25} {
			samples := make([]float32, frames)
			for i := range samples {
				samples[i] = offset
			}
			m := measure.Measures{OnsetSec: math.NaN(), EndSec: math.NaN(), SNRDB: math.NaN(),
				Pitch: measure.Pitch{Hz: math.NaN()}}
			if _, err := conform(testtakes.Mono(48000, samples), m, Treatment{TakeKey: -1},
				project.DefaultConformSettings(), 48000); !errors.Is(err, ErrNoSound) {
				t.Errorf("%d frames of %v: error %v, want ErrNoSound", frames, offset, err)
			}
		}
	}
}

// Eight noisy takes on one root: what is not the tones lies at least 6 dB lower than when they are only tuned,
// levelled and stacked.
func TestConformedBedIsQuieterThanPlainStacking(t *testing.T) {
	const root, partials = 57, 6
	stack := func(set project.ConformSettings) (noiseDB, toneDB float64) {
		bed := make([]float32, 3*testRateHz)
		for i := range 8 {
			own := sound.KeyHz(root + 0.7*float64(i-4))
			samples, m, _ := noisyTake(own, 15+2*float64(i), partials, uint64(i))
			conformed, err := conform(testtakes.Mono(testRateHz, samples), m,
				Treatment{TakeKey: int(math.Round(root + 0.7*float64(i-4))), TargetKey: root}, set, testRateHz)
			if err != nil {
				t.Fatal(err)
			}
			for j := range bed {
				if at := conformed.OnsetFrame + testRateHz/8 + j; at < len(conformed.Left)-testRateHz/8 {
					bed[j] += conformed.Left[at]
				}
			}
		}
		steady := bed[testRateHz/2 : 2*testRateHz]
		rest := testsound.Without(steady, testRateHz, partialsOf(sound.KeyHz(root), partials)...)
		return testsound.AmplitudeDB(testsound.RMS(rest)), testsound.AmplitudeDB(testsound.RMS(steady))
	}
	set := project.DefaultConformSettings()
	noiseDB, toneDB := stack(set)
	set.DenoiseDB, set.Hum, set.Rumble = 0, false, false
	plainNoiseDB, plainToneDB := stack(set)
	betterDB := (plainNoiseDB - plainToneDB) - (noiseDB - toneDB)
	t.Logf("noise %.1f dB under the tones, stacked plainly %.1f", toneDB-noiseDB, plainToneDB-plainNoiseDB)
	if betterDB < 6 {
		t.Errorf("only %.1f dB better than plain stacking", betterDB)
	}
}

func BenchmarkConform(b *testing.B) {
	for _, c := range []struct {
		name  string
		sides int
		snrDB float64
		hum   int
	}{{"stereo clean", 2, 96, 0}, {"stereo noisy", 2, 30, 0}, {"mono noisy", 1, 30, 0},
		{"stereo noisy hum", 2, 30, 50}} {
		b.Run(c.name, func(b *testing.B) {
			const rateHz = 44100
			sound := &decode.Sound{RateHz: rateHz}
			for side := range c.sides {
				samples := make([]float32, 9*rateHz)
				testsound.AddTones(samples[rateHz:8*rateHz], rateHz, 233, 0.2, 10)
				testsound.AddHiss(samples, 0.003, uint64(side))
				if c.hum > 0 {
					testsound.AddTones(samples, rateHz, float64(c.hum), 0.02, 5)
				}
				sound.Channels = append(sound.Channels, samples)
			}
			m := clean(measure.Held, 233, 0.4, 8)
			m.SNRDB, m.HumMainsHz = c.snrDB, c.hum
			for b.Loop() {
				out, err := conform(sound, m, Treatment{TakeKey: 58, TargetKey: 60}, project.DefaultConformSettings(),
					48000)
				if err != nil || math.IsNaN(out.GainDB) {
					b.Fatal(err)
				}
			}
		})
	}
}
