// Noise, the same for the same seed.

package testsound

import (
	"math"
	"math/rand/v2"
)

// NoiseKind names a colour of noise.
type NoiseKind string

const (
	White   NoiseKind = "white"
	Reddish NoiseKind = "reddish" // falls by 6 dB an octave between 150 Hz and 3 kHz
	Humming NoiseKind = "Humming" // mostly mains lines at 50 Hz
)

// NoiseWave is noise of a level (RMS), the same for the same seed.
func NoiseWave(kind NoiseKind, rateHz, frames int, levelDBFS float64, seed uint64) []float32 {
	random := rand.New(rand.NewPCG(seed, uint64(len(kind))))
	x := make([]float64, frames)
	low := 0.0
	for i := range x {
		w := random.NormFloat64()
		switch kind {
		case White:
			x[i] = w
		case Reddish:
			low = 0.98*low + w
			x[i] = low + 0.5*w
		case Humming:
			x[i] = 0.3*w + MainsWave(50, i, rateHz)
		}
	}
	squares := 0.0
	for _, v := range x {
		squares += v * v
	}
	gain := math.Pow(10, levelDBFS/20) / math.Sqrt(squares/float64(frames))
	samples := make([]float32, frames)
	for i := range x {
		samples[i] = float32(gain * x[i])
	}
	return samples
}

// MainsWave is hum of five lines; its mean square is 0.745.
func MainsWave(hz float64, i, rateHz int) float64 {
	y := 0.0
	for k, a := range []float64{1, 0.5, 0.4, 0.2, 0.2} {
		y += a * math.Sin(2*math.Pi*hz*float64(k+1)*float64(i)/float64(rateHz)+float64(k))
	}
	return y
}

// AddHiss adds white noise of an RMS.
func AddHiss(samples []float32, rms float64, seed uint64) {
	chance := rand.New(rand.NewPCG(seed, 1))
	for i := range samples {
		samples[i] += float32(rms * chance.NormFloat64())
	}
}
