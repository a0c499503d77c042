// How the tests measure a mixer: a sine goes in, the same sine is fitted to what comes out, the rest is
// error.

package voices

import (
	"math"
	"math/cmplx"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"
	"gonum.org/v1/gonum/dsp/window"
)

const (
	testRateHz     = 48000
	measuredFrames = 1 << 14
)

// sound is what became of a full-scale sine.
type sound struct {
	levelDB float64 // of the sine, relative to full scale
	spurDB  float64 // of the strongest other partial, relative to the sine
	noiseDB float64 // of everything else together, relative to the sine
}

// resampleSine plays a full-scale sine, freqHz in the source, at a step and measures what comes out.
func resampleSine(m *Mixer, freqHz float64, step uint64) sound {
	return measure(playSine(m, freqHz, step), freqHz/testRateHz*float64(step)/unitStep)
}

// playSine returns the left channel. The right one carries another signal, and none of it may arrive on the
// left.
func playSine(m *Mixer, freqHz float64, step uint64) []float64 {
	before, after := m.Reach()
	src := make([]float32, 2*(before+1+after+int(uint64(measuredFrames)*step>>32)))
	for i := range len(src) / 2 {
		src[2*i] = float32(math.Sin(2*math.Pi*freqHz/testRateHz*float64(i) + 0.3))
		src[2*i+1] = float32(math.Sin(0.1234 * float64(i)))
	}
	dst := make([]float32, 2*measuredFrames)
	m.Mix(dst, src, uint64(before)<<32, step, 0, 1, 1)
	left := make([]float64, measuredFrames)
	for i := range left {
		left[i] = float64(dst[2*i])
	}
	return left
}

// measure fits a sine of a known frequency (cycles per frame) by least squares and looks at the residue,
// through a flat-top window, which shows a partial's level wherever it falls between bins.
func measure(x []float64, freq float64) sound {
	sinPart, cosPart := fitSine(x, freq)
	power := 0.0
	for i := range x {
		sin, cos := math.Sincos(2 * math.Pi * freq * float64(i))
		x[i] -= sinPart*sin + cosPart*cos
		power += x[i] * x[i]
	}
	amplitude := math.Hypot(sinPart, cosPart)
	rms := math.Sqrt(2 * power / float64(len(x))) // of a sine of amplitude 1: 1

	flat := window.FlatTop(ones(len(x)))
	gain := 0.0
	for i, w := range flat {
		x[i] *= w
		gain += w / 2
	}
	spur := 0.0
	for _, c := range fourier.NewFFT(len(x)).Coefficients(nil, x) {
		spur = max(spur, cmplx.Abs(c)/gain)
	}
	return sound{decibels(amplitude), decibels(spur / amplitude), decibels(rms / amplitude)}
}

// fitSine solves the two normal equations of x ≈ a·sin + b·cos.
func fitSine(x []float64, freq float64) (a, b float64) {
	var ss, sc, cc, xs, xc float64
	for i, v := range x {
		sin, cos := math.Sincos(2 * math.Pi * freq * float64(i))
		ss, sc, cc = ss+sin*sin, sc+sin*cos, cc+cos*cos
		xs, xc = xs+v*sin, xc+v*cos
	}
	det := ss*cc - sc*sc
	return (xs*cc - xc*sc) / det, (xc*ss - xs*sc) / det
}

func decibels(ratio float64) float64 { return 20 * math.Log10(ratio) }

func ones(n int) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = 1
	}
	return x
}

// eachArithmetic runs a test with every arithmetic this processor has, on a mixer for steps up to maxStep.
func eachArithmetic(t *testing.T, q Quality, maxStep float64, test func(t *testing.T, m *Mixer)) {
	for _, a := range []Arithmetic{AVX2, Portable} {
		if a.Available() {
			t.Run(q.String()+"/"+a.String(), func(t *testing.T) { test(t, newMixer(t, q, a, maxStep)) })
		}
	}
}

func newMixer(t testing.TB, q Quality, a Arithmetic, maxStep float64) *Mixer {
	t.Helper()
	m, err := NewMixer(q, a, maxStep)
	if err != nil {
		t.Fatal(err)
	}
	return m
}
