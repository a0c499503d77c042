// Package testsound makes sounds whose measures are known, decodes the recordings of testdata, and measures sound in
// ways of its own. It is for tests alone.
package testsound

import "math"

// SineWave is a steady sine; levelDBFS is that of its peaks.
func SineWave(rateHz int, hz, levelDBFS, sec float64) []float32 {
	samples := make([]float32, int(math.Round(sec*float64(rateHz))))
	amplitude := math.Pow(10, levelDBFS/20)
	for i := range samples {
		samples[i] = float32(amplitude * math.Sin(2*math.Pi*hz*float64(i)/float64(rateHz)))
	}
	return samples
}

// HarmonicWave is a harmonic sound of unit amplitude whose partial k is 1/k² as strong.
func HarmonicWave(rateHz int, hz, sec float64) []float32 {
	samples := make([]float32, int(math.Round(sec*float64(rateHz))))
	for k := 1; k <= 12 && float64(k)*hz < float64(rateHz)/2; k++ {
		for i := range samples {
			samples[i] += float32(math.Sin(2*math.Pi*float64(k)*hz*float64(i)/float64(rateHz)) / float64(k*k))
		}
	}
	return samples
}

// Summed adds two sounds; the first sets the length.
func Summed(a, b []float32) []float32 {
	sum := make([]float32, len(a))
	copy(sum, a)
	for i := range min(len(a), len(b)) {
		sum[i] += b[i]
	}
	return sum
}

// Delayed puts silence before a sound.
func Delayed(frames int, samples []float32) []float32 {
	return append(make([]float32, frames), samples...)
}

// Within says whether a measure is what it should be; NaN never is.
func Within(got, want, tolerance float64) bool { return math.Abs(got-want) <= tolerance }
