// Brightness, bandwidth and noisiness of sounds made to have them.

package takes

import (
	"math"
	"slices"
	"testing"
)

func TestERBNumbers(t *testing.T) {
	t.Parallel()
	// Glasberg & Moore 1990: the ERB at 1 kHz is 24.7·(4.37+1) = 132.6 Hz, so 1 kHz ± half of it is one number wide.
	if got := erbNumber(1000+66.3) - erbNumber(1000-66.3); !within(got, 1, 0.01) {
		t.Errorf("one ERB at 1 kHz is %.3f numbers wide", got)
	}
	if got := erbHz(erbNumber(3210)); !within(got, 3210, 1e-6) {
		t.Errorf("3210 Hz comes back as %.6f", got)
	}
}

func TestBrightness(t *testing.T) {
	t.Parallel()
	for _, hz := range []float64{100, 440, 3000} {
		m := Measure(monoSound(48000, sineWave(48000, hz, -20, 1)))
		if math.Abs(erbNumber(m.BrightnessHz)-erbNumber(hz)) > 1 {
			t.Errorf("a sine of %.0f Hz: brightness %.0f Hz, want within an ERB", hz, m.BrightnessHz)
		}
	}
	// The same sound duller, and in noise: brightness goes down, and does not mind the noise.
	bright := harmonicWave(48000, 220, 2)
	dull := slices.Clone(bright)
	for range 2 {
		for i := 1; i < len(dull); i++ {
			dull[i] = 0.1*dull[i] + 0.9*dull[i-1]
		}
	}
	b, d := Measure(monoSound(48000, bright)), Measure(monoSound(48000, dull))
	if b.BrightnessHz < 1.2*d.BrightnessHz {
		t.Errorf("bright %.0f Hz, dull %.0f Hz", b.BrightnessHz, d.BrightnessHz)
	}
	lead := delayed(24000, bright)
	noisy := Measure(monoSound(48000, summed(lead, noiseWave(white, 48000, len(lead), -50, 1))))
	if !within(noisy.BrightnessHz, b.BrightnessHz, 0.15*b.BrightnessHz) {
		t.Errorf("in noise: brightness %.0f Hz, without %.0f", noisy.BrightnessHz, b.BrightnessHz)
	}
}

func TestBandwidth(t *testing.T) {
	t.Parallel()
	// Partials up to 12 times 500 Hz; noise in the pauses, far below.
	x := delayed(24000, harmonicWave(48000, 500, 2))
	m := Measure(monoSound(48000, summed(x, noiseWave(white, 48000, len(x), -80, 1))))
	if m.BandwidthHz < 6000 || m.BandwidthHz > 7500 {
		t.Errorf("partials up to 6 kHz: bandwidth %.0f Hz", m.BandwidthHz)
	}
}

func TestNoisiness(t *testing.T) {
	t.Parallel()
	for _, hz := range []float64{41, 110, 880} {
		if m := Measure(monoSound(48000, harmonicWave(48000, hz, 2))); m.Noisiness > 0.02 {
			t.Errorf("%.0f Hz: noisiness %.3f, want 0", hz, m.Noisiness)
		}
	}
	for _, sec := range []float64{0.2, 2} {
		m := Measure(monoSound(48000, noiseWave(white, 48000, int(sec*48000), -20, 1)))
		if m.Noisiness < 0.85 || m.Kind != Noisy {
			t.Errorf("%.1f s of white noise: noisiness %.3f, kind %s", sec, m.Noisiness, m.Kind)
		}
	}
	half := summed(harmonicWave(48000, 220, 2), noiseWave(white, 48000, 96000, rmsDB(harmonicWave(48000, 220, 2)), 1))
	if m := Measure(monoSound(48000, half)); !within(m.Noisiness, 0.5, 0.08) {
		t.Errorf("half noise: noisiness %.3f", m.Noisiness)
	}
}
