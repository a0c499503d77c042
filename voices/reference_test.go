// The slow, obvious resampler that the kernels are held against.

package voices

import (
	"math"
	"math/rand/v2"
	"testing"
)

const (
	referenceTaps = 1024
	kaiserBeta    = 14
)

// referenceAt is a stereo source's value at a position in frames: a windowed sinc over 1024 taps in float64.
// With a Kaiser window of β = 14 its error is under −140 dB up to 0.49 of the source's rate.
func referenceAt(source []float64, pos float64) (left, right float64) {
	whole := int(math.Floor(pos))
	for frame := whole - referenceTaps/2 + 1; frame <= whole+referenceTaps/2; frame++ {
		t := float64(frame) - pos
		x := t / (referenceTaps / 2)
		weight := sinc(t) * bessel0(kaiserBeta*math.Sqrt(max(0, 1-x*x))) / bessel0(kaiserBeta)
		left += weight * source[2*frame]
		right += weight * source[2*frame+1]
	}
	return left, right
}

func sinc(t float64) float64 {
	if t == 0 {
		return 1
	}
	return math.Sin(math.Pi*t) / (math.Pi * t)
}

// bessel0 is the modified Bessel function of the first kind of order 0, by its power series.
func bessel0(x float64) float64 {
	sum, term := 1.0, 1.0
	for k := 1.0; term > sum*1e-17; k++ {
		term *= x / (2 * k) * x / (2 * k)
		sum += term
	}
	return sum
}

// TestReference plays forty partials a side at random frequencies up to each quality's full edge, gliding,
// with a gain ramp, and compares every frame with the reference.
func TestReference(t *testing.T) {
	const frames, glide = 150, 1 << 24
	limitsDB := map[Quality]float64{Economy: -95, Standard: -105, High: -105, Best: -115}
	for q := Economy; q <= Best; q++ {
		source := partials(referenceTaps+frames, designs[q].fullEdge)
		start, startStep := uint64(referenceTaps/2)<<32+0x9e3779b9, fixed(0.53)
		var want []float64
		pos, step := start, startStep
		for i := range frames {
			gain := 0.25 + 0.75*float64(i)/frames
			left, right := referenceAt(source, float64(pos)/unitStep)
			want = append(want, gain*left, gain*right)
			pos += step
			step += glide
		}
		src := make([]float32, len(source))
		for i, v := range source {
			src[i] = float32(v)
		}
		eachArithmetic(t, q, 1, func(t *testing.T, m *Mixer) {
			dst := make([]float32, 2*frames)
			m.Mix(dst, src, start, startStep, glide, 0.25, 1)
			worst := 0.0
			for i := range dst {
				worst = max(worst, math.Abs(float64(dst[i])-want[i]))
			}
			if decibels(worst) > limitsDB[q] {
				t.Errorf("greatest difference from the reference %.1f dBFS, allowed %v", decibels(worst), limitsDB[q])
			}
		})
	}
}

// partials returns stereo frames of forty sines a side, of random frequency up to highest (cycles per frame),
// of peak at most 1.
func partials(frames int, highest float64) []float64 {
	random := rand.New(rand.NewPCG(1, 2))
	x := make([]float64, 2*frames)
	for side := range 2 {
		for range 40 {
			freq, phase := 2*math.Pi*highest*random.Float64(), 2*math.Pi*random.Float64()
			for i := range frames {
				x[2*i+side] += math.Sin(freq*float64(i)+phase) / 40
			}
		}
	}
	return x
}
