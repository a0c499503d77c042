// Brightness, bandwidth and noisiness of sounds made to have them.

package measure

import (
	"math"
	"slices"
	"testing"

	"lapstrake/mapping/sound"
	"lapstrake/mapping/testsound"
	"lapstrake/mapping/testsound/testtakes"
)

func TestERBNumbers(t *testing.T) {
	t.Parallel()
	// Glasberg & Moore 1990: the ERB at 1 kHz is 24.7·(4.37+1) = 132.6 Hz, so 1 kHz ± half of it is one number wide.
	if got := sound.ERBNumber(1000+66.3) - sound.ERBNumber(1000-66.3); !testsound.Within(got, 1, 0.01) {
		t.Errorf("one ERB at 1 kHz is %.3f numbers wide", got)
	}
	if got := sound.ERBHz(sound.ERBNumber(3210)); !testsound.Within(got, 3210, 1e-6) {
		t.Errorf("3210 Hz comes back as %.6f", got)
	}
}

func TestBrightness(t *testing.T) {
	t.Parallel()
	for _, hz := range []float64{100, 440, 3000} {
		m := Take(testtakes.Mono(48000, testsound.SineWave(48000, hz, -20, 1)))
		if math.Abs(sound.ERBNumber(m.BrightnessHz)-sound.ERBNumber(hz)) > 1 {
			t.Errorf("a sine of %.0f Hz: brightness %.0f Hz, want within an ERB", hz, m.BrightnessHz)
		}
	}
	// The same sound duller, and in noise: brightness goes down, and does not mind the noise.
	bright := testsound.HarmonicWave(48000, 220, 2)
	dull := slices.Clone(bright)
	for range 2 {
		for i := 1; i < len(dull); i++ {
			dull[i] = 0.1*dull[i] + 0.9*dull[i-1]
		}
	}
	b, d := Take(testtakes.Mono(48000, bright)), Take(testtakes.Mono(48000, dull))
	if b.BrightnessHz < 1.2*d.BrightnessHz {
		t.Errorf("bright %.0f Hz, dull %.0f Hz", b.BrightnessHz, d.BrightnessHz)
	}
	lead := testsound.Delayed(24000, bright)
	noisy := Take(testtakes.Mono(48000, testsound.Summed(lead,
		testsound.NoiseWave(testsound.White, 48000, len(lead), -50, 1))))
	if !testsound.Within(noisy.BrightnessHz, b.BrightnessHz, 0.15*b.BrightnessHz) {
		t.Errorf("in noise: brightness %.0f Hz, without %.0f", noisy.BrightnessHz, b.BrightnessHz)
	}
}

func TestBandwidth(t *testing.T) {
	t.Parallel()
	// Partials up to 12 times 500 Hz; noise in the pauses, far below.
	x := testsound.Delayed(24000, testsound.HarmonicWave(48000, 500, 2))
	m := Take(testtakes.Mono(48000, testsound.Summed(x, testsound.NoiseWave(testsound.White, 48000, len(x), -80, 1))))
	if m.BandwidthHz < 6000 || m.BandwidthHz > 7500 {
		t.Errorf("partials up to 6 kHz: bandwidth %.0f Hz", m.BandwidthHz)
	}
}

func TestNoisiness(t *testing.T) {
	t.Parallel()
	for _, hz := range []float64{41, 110, 880} {
		if m := Take(testtakes.Mono(48000, testsound.HarmonicWave(48000, hz, 2))); m.Noisiness > 0.02 {
			t.Errorf("%.0f Hz: noisiness %.3f, want 0", hz, m.Noisiness)
		}
	}
	for _, sec := range []float64{0.2, 2} {
		m := Take(testtakes.Mono(48000, testsound.NoiseWave(testsound.White, 48000, int(sec*48000), -20, 1)))
		if m.Noisiness < 0.85 || m.Kind != Noisy {
			t.Errorf("%.1f s of white noise: noisiness %.3f, kind %s", sec, m.Noisiness, m.Kind)
		}
	}
	half := testsound.Summed(testsound.HarmonicWave(48000, 220, 2),
		testsound.NoiseWave(testsound.White, 48000, 96000, rmsDB(testsound.HarmonicWave(48000, 220, 2)), 1))
	if m := Take(testtakes.Mono(48000, half)); !testsound.Within(m.Noisiness, 0.5, 0.08) {
		t.Errorf("half noise: noisiness %.3f", m.Noisiness)
	}
}
