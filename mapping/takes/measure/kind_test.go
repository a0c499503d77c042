// Kinds of sounds that are made to be of one: noises of eight kinds, and what must not be taken for noise.

package measure

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"lapstrake/mapping/testsound"
	"lapstrake/mapping/testsound/testtakes"
)

type madeNoise struct {
	name string
	x    []float32
}

// madeNoises are 48 noises of eight kinds.
func madeNoises(rateHz int) (all []madeNoise) {
	const seconds = 2
	n := seconds * rateHz
	for kind, name := range []string{"white", "pink", "brown", "band", "filtered", "wind", "crackle", "swelling"} {
		for seed := range 6 {
			r := rand.New(rand.NewPCG(uint64(seed), uint64(kind)))
			x := make([]float32, n)
			switch name {
			case "white":
				for i := range x {
					x[i] = float32(0.1 * r.NormFloat64())
				}
			case "pink":
				var b [7]float64
				for i := range x {
					w := r.NormFloat64()
					sum := 0.0
					for k := range b {
						c := math.Exp(-2 * math.Pi * 20 * math.Pow(3, float64(k)) / float64(rateHz))
						b[k] = c*b[k] + math.Sqrt((1-c*c))*w
						sum += b[k]
					}
					x[i] = float32(0.02 * sum)
				}
			case "brown":
				s := 0.0
				for i := range x {
					s = 0.999*s + r.NormFloat64()
					x[i] = float32(0.003 * s)
				}
			case "band": // second-order resonator, wide
				x = resonated(r, n, rateHz, 200*math.Pow(2, float64(seed)), 1.5+float64(seed%3))
			case "filtered":
				x = resonated(r, n, rateHz, 300*math.Pow(1.7, float64(seed)), 6)
			case "wind":
				x = windNoise(r, n, rateHz)
			case "crackle":
				for i := range x {
					if r.Float64() < 300.0/float64(rateHz)*float64(1+seed) {
						x[i] += float32(0.3 * r.NormFloat64())
					}
					if i > 0 {
						x[i] += 0.7 * x[i-1]
					}
				}
			case "swelling":
				for i := range x {
					x[i] = float32(0.2 * r.NormFloat64() * math.Sin(math.Pi*float64(i)/float64(n)))
				}
			}
			all = append(all, madeNoise{fmt.Sprintf("%s %d", name, seed), x})
		}
	}
	return all
}

// windNoise is noise through a resonance that wanders about 400 Hz.
func windNoise(r *rand.Rand, n, rateHz int) []float32 {
	x := make([]float32, n)
	const q = 4
	octaves, w := 0.0, 0.0
	var y1, y2 float64
	for i := range x {
		if i%256 == 0 {
			octaves = 0.98*octaves + 0.08*r.NormFloat64()
			w = 2 * math.Pi * 400 * math.Pow(2, octaves) / float64(rateHz)
		}
		rr := math.Exp(-w / (2 * q))
		y := r.NormFloat64() + 2*rr*math.Cos(w)*y1 - rr*rr*y2
		y2, y1 = y1, y
		x[i] = float32(0.002 * y)
	}
	return x
}

// resonated is noise through a resonance at hz of quality q.
func resonated(r *rand.Rand, n, rateHz int, hz, q float64) []float32 {
	w := 2 * math.Pi * hz / float64(rateHz)
	rr := math.Exp(-w / (2 * q))
	x := make([]float32, n)
	var y1, y2 float64
	for i := range x {
		y := r.NormFloat64() + 2*rr*math.Cos(w)*y1 - rr*rr*y2
		y2, y1 = y1, y
		x[i] = float32(0.02 * y)
	}
	return x
}

// Of 48 noises at least 46 are noisy, and none of them is said to hold several pitches.
func TestNoisesAreNoisy(t *testing.T) {
	t.Parallel()
	right, all := 0, 0
	for _, noise := range madeNoises(44100) {
		m := Take(testtakes.Mono(44100, noise.x))
		all++
		if m.Kind == Noisy {
			right++
			continue
		}
		t.Logf("%s: %s, noisiness %.2f, %+v", noise.name, m.Kind, m.Noisiness, m.Pitch)
	}
	if all != 48 || right < 46 {
		t.Errorf("%d of %d noises are noisy, want 46 of 48", right, all)
	}
}

// Bells (the partials of a minor-third bell, from memory: hum, prime, tierce, quint, nominal and above), chords and a
// breathy note are no noise.
func TestPartialsAreNoNoise(t *testing.T) {
	t.Parallel()
	const rateHz = 44100
	r := rand.New(rand.NewPCG(5, 1))
	for step := range 6 {
		hz := 200 * math.Pow(2, float64(step)/3)
		bell := make([]float32, 3*rateHz)
		for k, ratio := range []float64{0.5, 1, 1.2, 1.5, 2, 2.67, 3, 4.1, 5.33} {
			for i := range bell {
				sec := float64(i) / rateHz
				bell[i] += float32(0.05 * math.Exp(-0.7*sec*float64(1+k)) *
					math.Sin(2*math.Pi*hz*ratio*sec+float64(k)))
			}
		}
		chord := testsound.Summed(stringTone(hz, 0, 10, rateHz, rateHz, 1, r),
			testsound.Summed(stringTone(hz*1.26, 0, 10, rateHz, rateHz, 1, r),
				stringTone(hz*1.498, 0, 10, rateHz, rateHz, 1, r)))
		breathy := testsound.HarmonicWave(rateHz, hz, 2)
		breath := testsound.NoiseWave(testsound.White, rateHz, len(breathy), rmsDB(breathy)-6, uint64(step))
		for name, x := range map[string][]float32{"bell": bell, "chord": chord,
			"breathy note": testsound.Summed(breathy, breath)} {
			if m := Take(testtakes.Mono(rateHz, x)); m.Kind == Noisy {
				t.Errorf("%s at %.0f Hz: noisy; noisiness %.2f, %+v", name, hz, m.Noisiness, m.Pitch)
			}
		}
	}
}

// Sustained brass that sinks is held; what is struck is struck, also where its first period is as long as brass takes.
// Attacks of brass last 20 to 60 ms (Risset & Mathews 1969); the figures here are those of recorded trumpets and of
// the lowest strings of a piano.
func TestBrassIsHeld(t *testing.T) {
	const rateHz = 44100
	for _, note := range []struct {
		name                            string
		hz, attackSec, fallDBPerS, secs float64
		want                            Kind
	}{
		{"trumpet C3", 131, 0.045, 3.4, 4.6, Held},
		{"trumpet A#3", 233, 0.06, 2.1, 6, Held},
		{"trumpet F3", 175, 0.04, 6.2, 4.3, Held},
		{"trumpet F4", 349, 0.055, 3.2, 5.6, Held},
		{"plucked D3", 147, 0.012, 3.6, 6, Struck},
		{"struck A0", 27.5, 0.03, 4.7, 4, Struck},
		{"struck D#1", 38.9, 0.02, 4.9, 4, Struck},
		{"struck G4", 392, 0.005, 6, 4, Struck},
		{"a soft mallet", 262, 0.03, 12, 3, Struck},
	} {
		x := testsound.HarmonicWave(rateHz, note.hz, note.secs)
		for i := range x {
			sec := float64(i) / rateHz
			x[i] *= float32(min(sec/note.attackSec, 1) * math.Pow(10, -note.fallDBPerS*sec/20) *
				min((note.secs-sec)/0.05, 1))
		}
		if m := Take(testtakes.Mono(rateHz, x)); m.Kind != note.want {
			t.Errorf("%s: %s, attack %.3f s, falls by %.1f dB a second, pitch %.1f Hz; want %s", note.name,
				m.Kind, m.AttackSec, m.DecayDBPerS, m.Pitch.Hz, note.want)
		}
	}
}
