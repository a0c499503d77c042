package sound

import (
	"math"
	"math/cmplx"
	"testing"

	"lapstrake/mapping/testsound"
)

// Golden numbers, as general resampling libraries are tested: whatever is not the tone itself lies far below it.
func TestResampleHasNoImagesOrAliases(t *testing.T) {
	semitones := func(n float64) float64 { return math.Exp2(-n / 12) }
	for _, c := range []struct {
		name          string
		fromHz, toHz  int
		shift         float64 // semitones up
		hz            float64
		passed        bool
		mostResidueDB float64
	}{
		{"44.1 to 48 kHz", 44100, 48000, 0, 1000, true, -100},
		{"44.1 to 48 kHz, high", 44100, 48000, 0, 17000, true, -95},
		{"48 to 44.1 kHz, high", 48000, 44100, 0, 17000, true, -95},
		{"down a third", 48000, 48000, -3.17, 997, true, -100},
		{"down an octave, high", 48000, 48000, -12, 18500, true, -95},
		{"up a third", 48000, 48000, 3.71, 3001, true, -100},
		{"up a fifth, high", 44100, 48000, 7, 11000, true, -95},
		{"up a fifth, beyond the new band", 44100, 48000, 7, 17000, false, -95},
		{"up two octaves, beyond", 48000, 48000, 24, 6500, false, -95},
		{"8 to 48 kHz", 8000, 48000, 0, 3000, true, -95},
		{"192 to 48 kHz", 192000, 48000, 0, 12000, true, -95},
		{"192 to 48 kHz, beyond", 192000, 48000, 0, 30000, false, -95},
		{"192 to 48 kHz, up two octaves", 192000, 48000, 24, 4000, true, -95},
		{"a hair off", 48000, 48000, 0.0001, 5000, true, -100},
	} {
		t.Run(c.name, func(t *testing.T) {
			in := make([]float32, c.fromHz)
			testsound.AddTones(in, c.fromHz, c.hz, 0.5, 1)
			channels := [][]float32{in, append([]float32(nil), in...)}
			ratio := float64(c.toHz) / float64(c.fromHz) * semitones(c.shift)
			Resample(channels, ratio)
			if want := int(math.Ceil(float64(len(in)) * ratio)); len(channels[0]) != want || len(channels[1]) != want {
				t.Fatalf("%d and %d frames, want %d", len(channels[0]), len(channels[1]), want)
			}
			out := testsound.Middle(channels[0])
			outHz := c.hz / semitones(c.shift)
			residue := out
			if c.passed {
				if levelDB := testsound.AmplitudeDB(cmplx.Abs(testsound.Component(out, c.toHz, outHz)) /
					0.5); math.Abs(levelDB) > 0.01 {
					t.Errorf("the tone is %.4f dB off its level", levelDB)
				}
				residue = testsound.Without(out, c.toHz, outHz)
			}
			residueDB := testsound.AmplitudeDB(testsound.RMS(residue) / (0.5 / math.Sqrt2))
			t.Logf("residue %.1f dB", residueDB)
			if residueDB > c.mostResidueDB {
				t.Errorf("%.1f dB beside the tone, want at most %.0f", residueDB, c.mostResidueDB)
			}
			mono := [][]float32{in}
			Resample(mono, ratio)
			for i, x := range mono[0] {
				if math.Abs(float64(x-channels[0][i])) > 1e-6 {
					t.Fatalf("frame %d: alone %v, as one of two %v", i, x, channels[0][i])
				}
			}
		})
	}
}
