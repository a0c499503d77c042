package testsound

import (
	"math"
	"slices"
)

// PeaksAboveLoudness are by how many dB the highest true peak of each 3 s of a stereo sound lies above the loudness of
// these 3 s, one value for each full second at which they begin; those softer than −70 LUFS are left out. It is
// written from ITU-R BS.1770-5, annexes 1 and 2, and shares nothing with what it is held against: the K filter comes
// from its analogue prototypes, the true peak from four times as many samples by a windowed sinc.
func PeaksAboveLoudness(left, right []float32, rateHz int) (aboveDB []float64) {
	peaks, powers := make([]float64, len(left)/rateHz), make([]float64, len(left)/rateHz)
	for _, channel := range [][]float32{left, right} {
		weighted := kWeighted(channel, rateHz)
		for sec := range peaks {
			peaks[sec] = max(peaks[sec], highestBetween(channel, sec*rateHz, (sec+1)*rateHz))
			for _, x := range weighted[sec*rateHz : (sec+1)*rateHz] {
				powers[sec] += x * x / float64(3*rateHz)
			}
		}
	}
	for sec := range len(peaks) - 2 {
		lufs := -0.691 + 10*math.Log10(powers[sec]+powers[sec+1]+powers[sec+2])
		if lufs > -70 {
			aboveDB = append(aboveDB, AmplitudeDB(slices.Max(peaks[sec:sec+3]))-lufs)
		}
	}
	return aboveDB
}

// kWeighted is a channel behind the K filter: a high shelf of 4 dB from 1.7 kHz on, then a high pass at 38 Hz. Their
// frequencies and qualities are those that give the standard's coefficients at 48 kHz by the bilinear transform.
func kWeighted(channel []float32, rateHz int) []float64 {
	tan := math.Tan(math.Pi * 1681.974450955533 / float64(rateHz))
	high := math.Pow(10, 3.999843853973347/20)
	band, q := math.Pow(high, 0.4996667741545416), 0.7071752369554196
	shelf := biquad{
		b: [3]float64{high + band*tan/q + tan*tan, 2 * (tan*tan - high), high - band*tan/q + tan*tan},
		a: [3]float64{1 + tan/q + tan*tan, 2 * (tan*tan - 1), 1 - tan/q + tan*tan},
	}
	tan, q = math.Tan(math.Pi*38.13547087602444/float64(rateHz)), 0.5003270373238773
	pass := biquad{b: [3]float64{1, -2, 1}}
	pass.a = [3]float64{1 + tan/q + tan*tan, 2 * (tan*tan - 1), 1 - tan/q + tan*tan}
	for i := range pass.b { // the standard's high pass has no gain of its own
		pass.b[i] *= pass.a[0]
	}
	weighted := make([]float64, len(channel))
	for i, x := range channel {
		weighted[i] = pass.next(shelf.next(float64(x)))
	}
	return weighted
}

// biquad is a filter of two poles and two zeros, in the direct form.
type biquad struct {
	b, a [3]float64
	x, y [2]float64
}

func (f *biquad) next(x float64) float64 {
	y := (f.b[0]*x + f.b[1]*f.x[0] + f.b[2]*f.x[1] - f.a[1]*f.y[0] - f.a[2]*f.y[1]) / f.a[0]
	f.x, f.y = [2]float64{x, f.x[0]}, [2]float64{y, f.y[0]}
	return y
}

// reach is over how many samples either way a sound between two samples is told.
const reach = 24

// between are the weights of the samples around one, at quarters of the way to the next; windowed sincs.
var between = func() (weights [5][2*reach + 1]float64) {
	for quarter := range weights {
		for k := range weights[quarter] {
			at := float64(reach-k) + float64(quarter-2)/4
			weights[quarter][k] = 1
			if at != 0 {
				window := 0.5 + 0.5*math.Cos(math.Pi*at/(reach+1))
				weights[quarter][k] = window * math.Sin(math.Pi*at) / (math.Pi * at)
			}
		}
	}
	return weights
}()

// highestBetween is the highest true peak from one frame to before another: between samples it is looked for where
// they are at least two fifths as high as the highest.
func highestBetween(channel []float32, from, to int) float64 {
	highest := 0.0
	for _, x := range channel[from:to] {
		highest = max(highest, math.Abs(float64(x)))
	}
	least := float32(0.4 * highest)
	for i := max(from, reach); i < min(to, len(channel)-reach); i++ {
		if max(channel[i], -channel[i]) < least {
			continue
		}
		for quarter := range between {
			sum := 0.0
			for k, x := range channel[i-reach : i+reach+1] {
				sum += float64(x) * between[quarter][k]
			}
			highest = max(highest, math.Abs(sum))
		}
	}
	return highest
}
