// How timbre changes while a sound goes on: levels in mel bands over time, and what is read from them.

package hearing

import (
	"math"
	"slices"

	"lapstrake/mapping/sound"
)

const (
	melBands  = 64 // from melLowHz to melHighHz, triangles of 50 % overlap
	melLowHz  = 30.0
	melHighHz = 18000.0
	melSec    = 4096.0 / 48000 // length of a spectrum
	stepSec   = 0.1            // one spectrum for each
	activeDB  = 35             // bands farther below the strongest do not count
)

// Timbre is a sound as levels in 64 mel bands from 30 Hz to 18 kHz, a row each 0.1 s. The mel scale is that of
// O'Shaughnessy (Speech Communication, 1987): 2595·log10(1 + Hz/700). The powers of left and right are summed, so that
// places do not count.
type Timbre struct {
	rows [][]float64 // dB, of the bands that count
}

// NewTimbre measures interleaved stereo frames. Bands whose mean level is more than 35 dB below the strongest one's
// are left out.
func NewTimbre(frames []float32, rateHz int) *Timbre {
	size := sound.PowerOfTwo(melSec, rateHz)
	channels := [2][]float32{make([]float32, len(frames)/2), make([]float32, len(frames)/2)}
	for i := range channels[0] {
		channels[0][i], channels[1][i] = frames[2*i], frames[2*i+1]
	}
	spectrum := sound.BorrowSpectrum(size)
	defer spectrum.GiveBack()
	weights := melWeights(size, rateHz)
	hop := float64(rateHz) * stepSec
	var rows [][]float64
	for k := 0; ; k++ {
		centre := size/2 + int(float64(k)*hop)
		if centre+size/2 > len(channels[0]) {
			break
		}
		row := make([]float64, melBands)
		for _, channel := range channels {
			power := spectrum.At(channel, centre)
			for band, w := range weights {
				for i, weight := range w.weights {
					row[band] += weight * power[w.first+i]
				}
			}
		}
		for band := range row {
			row[band] = sound.PowerDB(row[band] + 1e-16)
		}
		rows = append(rows, row)
	}
	return &Timbre{active(rows)}
}

type melWeight struct {
	first   int // bin
	weights []float64
}

func melWeights(size, rateHz int) []melWeight {
	mel := func(hz float64) float64 { return 2595 * math.Log10(1+hz/700) }
	edge := func(i int) float64 {
		at := mel(melLowHz) + (mel(melHighHz)-mel(melLowHz))*float64(i)/(melBands+1)
		return 700 * (math.Pow(10, at/2595) - 1)
	}
	binHz := float64(rateHz) / float64(size)
	all := make([]melWeight, melBands)
	for band := range all {
		low, middle, high := edge(band), edge(band+1), edge(band+2)
		all[band].first = min(int(low/binHz)+1, size/2)
		for bin := all[band].first; float64(bin)*binHz < high && bin <= size/2; bin++ {
			hz := float64(bin) * binHz
			all[band].weights = append(all[band].weights, max(min((hz-low)/(middle-low), (high-hz)/(high-middle)), 0))
		}
	}
	return all
}

// active keeps the bands whose mean is within activeDB of the strongest.
func active(rows [][]float64) [][]float64 {
	if len(rows) == 0 {
		return nil
	}
	means := make([]float64, melBands)
	for _, row := range rows {
		for band, db := range row {
			means[band] += db / float64(len(rows))
		}
	}
	strongest := slices.Max(means)
	out := make([][]float64, len(rows))
	for k, row := range rows {
		for band, db := range row {
			if means[band] > strongest-activeDB {
				out[k] = append(out[k], db)
			}
		}
	}
	return out
}

// Seconds is how long the sound was measured.
func (t *Timbre) Seconds() float64 { return float64(len(t.rows)) * stepSec }

// ModulationDB is how much the timbre moves at rates from lowHz to highHz (up to 5 Hz): each band's level, less the
// mean of all bands at that moment, through a band-pass filter (Butterworth, of second order, forwards and backwards),
// its standard deviation over time, the mean over the bands.
func (t *Timbre) ModulationDB(lowHz, highHz float64) float64 {
	if len(t.rows) == 0 {
		return 0
	}
	levelled := shapes(t.rows)
	sum, column := 0.0, make([]float64, len(levelled))
	for band := range levelled[0] {
		for k := range levelled {
			column[k] = levelled[k][band]
		}
		sum += deviation(bandPass(column, lowHz*stepSec, highHz*stepSec))
	}
	return sum / float64(len(levelled[0]))
}

// shapes takes each row's mean away: what is left is its timbre.
func shapes(rows [][]float64) [][]float64 {
	out := make([][]float64, len(rows))
	for k, row := range rows {
		mean := 0.0
		for _, db := range row {
			mean += db / float64(len(row))
		}
		out[k] = make([]float64, len(row))
		for band, db := range row {
			out[k][band] = db - mean
		}
	}
	return out
}

func deviation(values []float64) float64 {
	sum, squares := 0.0, 0.0
	for _, v := range values {
		sum, squares = sum+v, squares+v*v
	}
	n := float64(len(values))
	return math.Sqrt(max(squares/n-sum*sum/n/n, 0))
}
