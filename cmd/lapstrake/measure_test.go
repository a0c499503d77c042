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

	"lapstrake/mapping/testsound"
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

// levelDB is the level of a partial in dBFS, of which 0 is the amplitude 1.
func levelDB(x []float64, hz float64) float64 {
	return testsound.AmplitudeDB(cmplx.Abs(testsound.Partial(x, testRateHz, hz, 0)))
}

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

// highPass takes away what lies under hz, by 90 dB or more: a windowed-sinc filter, its delay taken off
// (Blackman-Harris: side lobes under −92 dB, main lobe 8 bins wide). The ends, of which the filter sees one side
// alone, are left silent.
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

// difference is a−b, as long as the shorter.
func difference(a, b []float64) []float64 {
	d := make([]float64, min(len(a), len(b)))
	for i := range d {
		d[i] = a[i] - b[i]
	}
	return d
}
