// Checks that one recording is known again in another encoding, and that no two recordings are taken for one.

package measure

import (
	"math"
	"slices"
	"testing"

	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes/decode"
	"lapstrake/mapping/testsound"
	"lapstrake/mapping/testsound/testtakes"
)

// printOf is the fingerprint of a sound, ready.
func printOf(t testing.TB, name string, s *decode.Sound) *Print {
	t.Helper()
	print, ok := withoutPitch(s).Fingerprint.Ready()
	if !ok {
		t.Fatalf("%s: no fingerprint", name)
	}
	return print
}

// changed is a sound on one channel, every sample put through f.
func changed(s *decode.Sound, f func(x float64) float64) *decode.Sound {
	samples := slices.Clone(s.Mono())
	for i, x := range samples {
		samples[i] = float32(f(float64(x)))
	}
	return testtakes.Mono(s.RateHz, samples)
}

// atRate is a sound on one channel at another sampling rate.
func atRate(s *decode.Sound, rateHz int) *decode.Sound {
	channels := [][]float32{slices.Clone(s.Mono())}
	sound.Resample(channels, float64(rateHz)/float64(s.RateHz))
	return testtakes.Mono(rateHz, channels[0])
}

// twins are the ways in which one recording comes twice.
var twins = map[string]func(s *decode.Sound) *decode.Sound{
	"6 dB softer, in 8 bits": func(s *decode.Sound) *decode.Sound {
		return changed(s, func(x float64) float64 { return math.Round(x/2*128) / 128 })
	},
	"6 dB louder": func(s *decode.Sound) *decode.Sound { return changed(s, func(x float64) float64 { return 2 * x }) },
	"22.05 kHz":   func(s *decode.Sound) *decode.Sound { return atRate(s, 22050) },
	"96 kHz":      func(s *decode.Sound) *decode.Sound { return atRate(s, 96000) },
	"two channels": func(s *decode.Sound) *decode.Sound {
		return &decode.Sound{RateHz: s.RateHz, Bits: 24, Format: "WAV", Channels: [][]float32{s.Mono(), s.Mono()}}
	},
	"a longer lead-in": func(s *decode.Sound) *decode.Sound {
		return testtakes.Mono(s.RateHz, testsound.Delayed(s.RateHz*3/10, s.Mono()))
	},
	"no lead-in": func(s *decode.Sound) *decode.Sound {
		return testtakes.Mono(s.RateHz, s.Mono()[cleanStart(s.Mono(), s.RateHz, 40):])
	},
	"noise as of a coarse coder, 40 dB under each moment": func(s *decode.Sound) *decode.Sound {
		samples, hiss := slices.Clone(s.Mono()), make([]float32, s.Frames())
		testsound.AddHiss(hiss, 1, 1)
		const reach = 256
		for i := range samples {
			around := math.Sqrt(sound.MeanSquare(s.Mono()[max(0, i-i%reach):min(s.Frames(), i-i%reach+reach)]))
			samples[i] += float32(around/100) * hiss[i]
		}
		return testtakes.Mono(s.RateHz, samples)
	},
}

// The recordings of one instrument are different takes.
func TestTheSameRecordingIsKnownAgain(t *testing.T) {
	recordings := testtakes.In(t, "bassoon", "flute", "guitar-acoustic", "piano", "misc")
	prints := make([]*Print, len(recordings))
	for i, r := range recordings {
		prints[i] = printOf(t, r.Name, r.Sound)
		for k := range i {
			if prints[k].SameRecording(prints[i]) {
				t.Errorf("%s and %s are taken for one recording", recordings[k].Name, r.Name)
			}
		}
	}
	compared, missed := 0, 0
	for i := 0; i < len(recordings); i += 5 {
		for name, twin := range twins {
			compared++
			if print := printOf(t, name, twin(recordings[i].Sound)); !print.SameRecording(prints[i]) {
				missed++
				t.Logf("%s: %s is not known again, %.2f dB apart", recordings[i].Name, name, print.apartDB(prints[i]))
			}
		}
	}
	if 50*missed > compared {
		t.Errorf("%d of %d not known again, want 2 %% at most", missed, compared)
	}
}

// Two stretches of like noise are two recordings.
func TestLikeNoiseIsNotTheSameRecording(t *testing.T) {
	for _, kind := range []testsound.NoiseKind{testsound.White, testsound.Reddish, testsound.Humming} {
		var prints []*Print
		for seed := range uint64(12) {
			noise := testtakes.Mono(44100, testsound.NoiseWave(kind, 44100, 2*44100, -20, seed))
			prints = append(prints, printOf(t, string(kind), noise))
			for k := range seed {
				if prints[k].SameRecording(prints[seed]) {
					t.Errorf("%s noise %d and %d are taken for one recording", kind, k, seed)
				}
			}
		}
	}
}

// Whoever reads a fingerprint, a spreadsheet too, must take it for a word.
func TestFingerprintIsAWord(t *testing.T) {
	f := withoutPitch(testtakes.Mono(44100, testsound.HarmonicWave(44100, 220, 1))).Fingerprint
	if len(f) != printBands*printInstants || slices.Max([]byte(f)) != 'u' || slices.Min([]byte(f)) != 'a' {
		t.Errorf("found %q, want %d letters from a to u", f, printBands*printInstants)
	}
	if f := withoutPitch(testtakes.Mono(44100, make([]float32, 44100))).Fingerprint; f != "" {
		t.Errorf("silence has the fingerprint %q, want none", f)
	}
	for _, cell := range []Fingerprint{"", "abc", f[1:] + "z", f[1:] + "A"} {
		if _, ok := cell.Ready(); ok {
			t.Errorf("%q is taken for a fingerprint", cell)
		}
	}
}
