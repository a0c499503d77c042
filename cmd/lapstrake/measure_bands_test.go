// How the tests measure the loudness and the spectrum of a minute.

//go:build linux && cgo

package main

import (
	"math"
	"math/cmplx"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"
	"gonum.org/v1/gonum/dsp/window"

	"lapstrake/mapping/sound"
)

// lufs is the integrated loudness of the first so many seconds.
func lufs(r recording, sec float64) float64 {
	meter := sound.NewMeter(testRateHz, sound.StereoWeights)
	var sides [2][]float32
	for side := range sides {
		for _, v := range r.channels[side][:seconds(sec)] {
			sides[side] = append(sides[side], float32(v))
		}
	}
	meter.Add(sides[0], sides[1])
	return meter.IntegratedLUFS()
}

// thirdHz are the exact middle frequencies of IEC 61260-1, base ten, from 25 Hz to 16 kHz.
func thirdHz(i int) float64 { return 1000 * math.Pow(10, float64(i-16)/10) }

const thirds = 29

// thirdOctaves is the mean level of each third of an octave over the first so many seconds, both sides together, in
// dBFS.
func thirdOctaves(r recording, sec float64) (dBFS [thirds]float64) {
	const length = 1 << 15
	w := window.Hann(slices.Repeat([]float64{1}, length))
	norm := 0.0
	for _, v := range w {
		norm += v * v
	}
	fft := fourier.NewFFT(length)
	var power [thirds]float64
	blocks := 0
	scaled := make([]float64, length)
	for from := 0; from+length <= seconds(sec); from += length / 2 {
		blocks++
		for _, x := range r.channels[:2] {
			for i := range scaled {
				scaled[i] = w[i] * x[from+i]
			}
			for bin, c := range fft.Coefficients(nil, scaled) {
				third := int(math.Round(10*math.Log10(max(float64(bin), 0.5)*testRateHz/length/1000))) + 16
				if third >= 0 && third < thirds {
					power[third] += 2 * math.Pow(cmplx.Abs(c), 2) / norm / length
				}
			}
		}
	}
	for i := range dBFS {
		dBFS[i] = 10 * math.Log10(power[i]/float64(2*blocks)+1e-30)
	}
	return dBFS
}
