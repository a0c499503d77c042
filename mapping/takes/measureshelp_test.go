// What the measures' tests share: sounds whose measures are known because they are made here, and recordings.

package takes

import (
	"math"
	"math/rand/v2"
	"path/filepath"
	"sync"
	"testing"
)

// recording is one of testdata/recordings, decoded.
type recording struct {
	name  string // folder and file
	sound *Sound
}

// recordedIn gives all recordings of the folders. They are decoded once and must not be changed.
func recordedIn(t testing.TB, folders ...string) (all []recording) {
	t.Helper()
	for _, folder := range folders {
		decoded, _ := decodedFolders.LoadOrStore(folder, sync.OnceValues(func() ([]recording, error) { return decodeFolder(folder) }))
		some, err := decoded.(func() ([]recording, error))()
		if err != nil || len(some) == 0 {
			t.Fatalf("recordings in %s: %d, %v", folder, len(some), err)
		}
		all = append(all, some...)
	}
	return all
}

var decodedFolders sync.Map

func decodeFolder(folder string) (all []recording, err error) {
	paths, err := filepath.Glob(filepath.Join("..", "..", "testdata", "recordings", folder, "*"))
	for _, path := range paths {
		sound, err := Decode(path)
		if err != nil {
			return nil, err
		}
		all = append(all, recording{folder + "/" + filepath.Base(path), sound})
	}
	return all, err
}

// withoutPitch measures all but pitch and kind, which is twice as quick.
func withoutPitch(s *Sound) Measures {
	m, _ := measureSound(s)
	return m
}

// monoSound is a sound of one channel, as it would come from a 24-bit file.
func monoSound(rateHz int, samples []float32) *Sound {
	return &Sound{RateHz: rateHz, Bits: 24, Format: "WAV", Channels: [][]float32{samples}}
}

// sineWave is a steady sine; levelDBFS is that of its peaks.
func sineWave(rateHz int, hz, levelDBFS, sec float64) []float32 {
	samples := make([]float32, int(math.Round(sec*float64(rateHz))))
	amplitude := math.Pow(10, levelDBFS/20)
	for i := range samples {
		samples[i] = float32(amplitude * math.Sin(2*math.Pi*hz*float64(i)/float64(rateHz)))
	}
	return samples
}

// harmonicWave is a harmonic sound of unit amplitude whose partial k is 1/k² as strong.
func harmonicWave(rateHz int, hz, sec float64) []float32 {
	samples := make([]float32, int(math.Round(sec*float64(rateHz))))
	for k := 1; k <= 12 && float64(k)*hz < float64(rateHz)/2; k++ {
		for i := range samples {
			samples[i] += float32(math.Sin(2*math.Pi*float64(k)*hz*float64(i)/float64(rateHz)) / float64(k*k))
		}
	}
	return samples
}

// noiseKind names a colour of noise.
type noiseKind string

const (
	white   noiseKind = "white"
	reddish noiseKind = "reddish" // falls by 6 dB an octave between 150 Hz and 3 kHz
	humming noiseKind = "humming" // mostly mains lines at 50 Hz
)

// noiseWave is noise of a level (RMS), the same for the same seed.
func noiseWave(kind noiseKind, rateHz, frames int, levelDBFS float64, seed uint64) []float32 {
	random := rand.New(rand.NewPCG(seed, uint64(len(kind))))
	x := make([]float64, frames)
	low := 0.0
	for i := range x {
		w := random.NormFloat64()
		switch kind {
		case white:
			x[i] = w
		case reddish:
			low = 0.98*low + w
			x[i] = low + 0.5*w
		case humming:
			x[i] = 0.3*w + mainsWave(50, i, rateHz)
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

// mainsWave is hum of five lines; its mean square is 0.745.
func mainsWave(hz float64, i, rateHz int) float64 {
	y := 0.0
	for k, a := range []float64{1, 0.5, 0.4, 0.2, 0.2} {
		y += a * math.Sin(2*math.Pi*hz*float64(k+1)*float64(i)/float64(rateHz)+float64(k))
	}
	return y
}

// summed adds two sounds; the first sets the length.
func summed(a, b []float32) []float32 {
	sum := make([]float32, len(a))
	copy(sum, a)
	for i := range min(len(a), len(b)) {
		sum[i] += b[i]
	}
	return sum
}

// delayed puts silence before a sound.
func delayed(frames int, samples []float32) []float32 {
	return append(make([]float32, frames), samples...)
}

// rmsDB is the level, RMS, of samples.
func rmsDB(samples []float32) float64 { return powerDB(meanSquare(samples)) }

// cleanStart is where a recording without noise begins: where the level of 4 ms first comes within so many decibels of
// the highest of the first 1.5 s.
func cleanStart(samples []float32, rateHz int, underDB float64) int {
	threshold := highestAttackDB(samples, rateHz) - underDB
	for i := 0; i < len(samples); i += rateHz / 2000 {
		if levelAround(samples, rateHz, i) >= threshold {
			return i
		}
	}
	return len(samples)
}

func highestAttackDB(samples []float32, rateHz int) float64 {
	highest := math.Inf(-1)
	for i := 0; i < min(len(samples), 3*rateHz/2); i += rateHz / 1000 {
		highest = max(highest, levelAround(samples, rateHz, i))
	}
	return highest
}

func levelAround(samples []float32, rateHz, at int) float64 {
	return rmsDB(samples[max(0, at-rateHz/500):min(len(samples), at+rateHz/500)])
}

// within says whether a measure is what it should be; NaN never is.
func within(got, want, tolerance float64) bool { return math.Abs(got-want) <= tolerance }
