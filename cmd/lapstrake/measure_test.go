// How the tests measure what was recorded: pitch, onsets, clicks, and how far two recordings differ.

//go:build linux && cgo

package main

import (
	"math"
	"math/cmplx"
	"os"
	"slices"
	"testing"

	"gonum.org/v1/gonum/dsp/window"

	"lapstrake/mapping/wav"
)

// testRateHz is the rate of every sound that is measured.
const testRateHz = 48000

func seconds(sec float64) int { return int(math.Round(sec * testRateHz)) }

// recording is sound with any number of channels, side by side.
type recording struct {
	channels [][]float64
}

func readRecording(t testing.TB, path string) recording {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	file, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	info, err := wav.ReadInfo(file, int64(len(data)), path)
	if err != nil || info.RateHz != testRateHz {
		t.Fatalf("%s: %d Hz, error %v; want %d Hz", path, info.RateHz, err, testRateHz)
	}
	samples := make([]float32, int(info.Frames)*info.Channels)
	wav.Decode(samples, data[info.DataOffset:], info.Encoding)
	r := recording{make([][]float64, info.Channels)}
	for c := range r.channels {
		r.channels[c] = make([]float64, info.Frames)
		for i := range r.channels[c] {
			r.channels[c][i] = float64(samples[i*info.Channels+c])
		}
	}
	return r
}

// toneHz measures the pitch of a partial near nearHz: windowed stretches are shifted down by nearHz, and the slope of
// their phases, by least squares, is what the tone is off.
func toneHz(x []float64, nearHz float64) float64 {
	const count = 5
	length := len(x) / 2
	hop := (len(x) - length) / (count - 1)
	last, slope, norm := 0.0, 0.0, 0.0
	for i := range count {
		phase := cmplx.Phase(partial(x[i*hop:i*hop+length], nearHz, i*hop))
		if i > 0 {
			phase -= 2 * math.Pi * math.Round((phase-last)/2/math.Pi)
		}
		d := float64(i) - (count-1)/2.0
		last, slope, norm = phase, slope+d*phase, norm+d*d
	}
	return nearHz + slope/norm/float64(hop)/2/math.Pi*testRateHz
}

// partial is the complex amplitude of a partial, through a Blackman-Harris window; first is the frame that x begins at.
func partial(x []float64, hz float64, first int) complex128 {
	w := window.BlackmanHarris(slices.Repeat([]float64{1}, len(x)))
	var sum complex128
	norm := 0.0
	for i, v := range x {
		sum += complex(v*w[i], 0) * cmplx.Exp(complex(0, -2*math.Pi*hz/testRateHz*float64(first+i)))
		norm += w[i] / 2
	}
	return sum / complex(norm, 0)
}

// levelDB is the level of a partial in dBFS, of which 0 is the amplitude 1.
func levelDB(x []float64, hz float64) float64 { return decibels(cmplx.Abs(partial(x, hz, 0))) }

// keyHz is the pitch of a key (ISO 16:1975: A4, key 69, is 440 Hz; equal temperament).
func keyHz(key int) float64 { return 440 * math.Exp2(float64(key-69)/12) }

func cents(hz, wantHz float64) float64 { return 1200 * math.Log2(hz/wantHz) }

// onsets are the frames at which x rises above a threshold after it has been below for quietFrames.
func onsets(x []float64, threshold float64, quietFrames int) []int {
	var found []int
	quiet := 0
	for i, v := range x {
		if math.Abs(v) < threshold {
			quiet++
			continue
		}
		if quiet >= quietFrames {
			found = append(found, i)
		}
		quiet = 0
	}
	return found
}

// clicks are the frames, 10 ms or more apart, where a sound whose partials all lie under highestHz is cut, repeated or
// moves in a step: there it has something above highestHz. A step gives half its height there; those under twice the
// threshold are let pass.
func clicks(x []float64, highestHz, threshold float64) []int {
	var found []int
	for i, v := range highPass(x, highestHz) {
		if math.Abs(v) >= threshold && (len(found) == 0 || i-found[len(found)-1] >= seconds(0.01)) {
			found = append(found, i)
		}
	}
	return found
}

// highPass takes away what lies under hz, by 90 dB or more: a windowed-sinc filter, its delay taken off (Blackman-Harris:
// side lobes under −92 dB, main lobe 8 bins wide). The ends, of which the filter sees one side alone, are left silent.
func highPass(x []float64, hz float64) []float64 {
	const half = 128
	taps := window.BlackmanHarris(slices.Repeat([]float64{1}, 2*half+1))
	cut := hz/testRateHz + 4/float64(len(taps))
	for i := range taps {
		t := float64(i - half)
		if t == 0 {
			taps[i] = 1 - 2*cut
		} else {
			taps[i] *= -math.Sin(2*math.Pi*cut*t) / (math.Pi * t)
		}
	}
	y := make([]float64, len(x))
	for i := half; i < len(x)-half; i++ {
		for k, tap := range taps {
			y[i] += tap * x[i+k-half]
		}
	}
	return y
}

func rms(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v * v
	}
	return math.Sqrt(sum / float64(max(len(x), 1)))
}

// difference is a−b, as long as the shorter.
func difference(a, b []float64) []float64 {
	d := make([]float64, min(len(a), len(b)))
	for i := range d {
		d[i] = a[i] - b[i]
	}
	return d
}

func decibels(ratio float64) float64 { return 20 * math.Log10(ratio) }
