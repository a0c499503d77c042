package main

import "math"

// levels keeps the level over time, a value every tenth of a second.
type levels struct {
	rateHz int
	frames int64
	square float64 // of all samples
	peak   float64
	rmsDB  []float64 // of both channels
	peakDB []float64

	cellSquare, cellPeak float64
	cellFrames           int
}

const floorDB = -120

func newLevels(rateHz int) *levels { return &levels{rateHz: rateHz} }

func (l *levels) add(block []float32) {
	for i := 0; i < len(block); i += 2 {
		left, right := float64(block[i]), float64(block[i+1])
		l.cellSquare += left*left + right*right
		l.cellPeak = max(l.cellPeak, math.Abs(left), math.Abs(right))
		l.cellFrames++
		l.frames++
		if l.cellFrames == l.rateHz/10 {
			l.closeCell()
		}
	}
}

func (l *levels) closeCell() {
	l.square += l.cellSquare
	l.peak = max(l.peak, l.cellPeak)
	l.rmsDB = append(l.rmsDB, powerDB(l.cellSquare/float64(2*l.cellFrames)))
	l.peakDB = append(l.peakDB, powerDB(l.cellPeak*l.cellPeak))
	l.cellSquare, l.cellPeak, l.cellFrames = 0, 0, 0
}

// summary returns the peak and the RMS level of both channels together, in dBFS,
// where a full-scale square wave has 0 dB.
func (l *levels) summary() (peakDBFS, rmsDBFS float64) {
	if l.cellFrames > 0 {
		l.closeCell()
	}
	return powerDB(l.peak * l.peak), powerDB(l.square / float64(max(2*l.frames, 1)))
}

func (l *levels) seconds() float64 { return float64(l.frames) / float64(l.rateHz) }

func powerDB(power float64) float64 { return max(10*math.Log10(power), floorDB) }
