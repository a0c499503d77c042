// Leading tones of sounds whose partials are published.

package measure

import (
	"math"
	"math/rand/v2"
	"testing"

	"lapstrake/mapping/testsound"
)

// strikes adds decaying partials: frequencies in Hz, levels in dB, the seconds in which each falls by 60 dB.
func strikes(rateHz int, sec float64, partials [][3]float64) []float32 {
	x := make([]float32, int(sec*float64(rateHz)))
	for n, p := range partials {
		for i := range x {
			t := float64(i) / float64(rateHz)
			x[i] += float32(0.1 * math.Pow(10, p[1]/20-3*t/p[2]) * math.Sin(2*math.Pi*p[0]*t+float64(n)))
		}
	}
	return x
}

// The partials of a church bell of the minor-third type against its strike note, and how they fall (Rossing 2000: hum
// 0.5, prime 1, tierce 1.2, quint 1.5, nominal 2, superquint 3, octave nominal 4; the hum is the softest at first and
// lasts longest).
func bell(strikeHz float64) [][3]float64 {
	var partials [][3]float64
	for _, p := range [][3]float64{{0.5, -12, 12}, {1, -6, 6}, {1.2, -3, 6}, {1.5, -15, 4}, {2, 0, 4}, {2.67, -12, 2},
		{3, -8, 2}, {4, -12, 1}} {
		partials = append(partials, [3]float64{strikeHz * p[0], p[1], p[2]})
	}
	return partials
}

func leadingOf(x []float32, rateHz int) Leading { return findLeading(x, rateHz, 0, len(x)) }

func TestLeadingToneOfBells(t *testing.T) {
	for _, strikeHz := range []float64{130, 220, 440, 523.25, 880} {
		x := strikes(48000, 3, bell(strikeHz))
		testsound.AddHiss(x, 1e-4, 1)
		if l := leadingOf(x, 48000); math.Abs(testsound.Cents(l.Hz, strikeHz)) > 10 || l.Confidence < SureLeading {
			t.Errorf("a bell that strikes %v Hz: %+v", strikeHz, l)
		}
	}
}

// A wine glass sounds 1, 2.32, 4.25, 6.63 (French 1983, as Rossing cites him); a free bar 1, 2.756, 5.404 (Fletcher &
// Rossing, The Physics of Musical Instruments, section 2.16). The lowest lasts and leads.
func TestLeadingToneOfGlassAndBars(t *testing.T) {
	for name, ratios := range map[string][]float64{"glass": {1, 2.32, 4.25, 6.63}, "bar": {1, 2.756, 5.404}} {
		for _, hz := range []float64{262, 440, 700} {
			var partials [][3]float64
			for n, ratio := range ratios {
				partials = append(partials, [3]float64{hz * ratio, -6 * float64(n), 3 / float64(n+1)})
			}
			x := strikes(44100, 2, partials)
			testsound.AddHiss(x, 1e-4, 2)
			if l := leadingOf(x, 44100); math.Abs(testsound.Cents(l.Hz, hz)) > 10 || l.Confidence < SureLeading {
				t.Errorf("%s of %v Hz: %+v", name, hz, l)
			}
		}
	}
}

// In noise, and among tones of one strength, none leads.
func TestNothingLeads(t *testing.T) {
	for _, kind := range []testsound.NoiseKind{testsound.White} {
		if l := leadingOf(testsound.NoiseWave(kind, 44100, 2*44100, -20, 3), 44100); l.Confidence >= SureLeading {
			t.Errorf("%s noise: %+v", kind, l)
		}
	}
	random := rand.New(rand.NewPCG(1, 2))
	for range 5 {
		var cluster [][3]float64
		for range 6 {
			cluster = append(cluster, [3]float64{300 + 900*random.Float64(), -random.Float64(), 3})
		}
		if l := leadingOf(strikes(44100, 2, cluster), 44100); l.Confidence >= SureLeading {
			t.Errorf("six tones alike loud: %+v", l)
		}
	}
	if l := leadingOf(make([]float32, 44100), 44100); !math.IsNaN(l.Hz) || l.Confidence != 0 {
		t.Errorf("silence: %+v", l)
	}
}
