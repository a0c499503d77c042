// The output's level: it begins 20 dB down, rises slowly and falls quickly.

package live

import (
	"math"
	"sync/atomic"

	"lapstrake/mapping/sound"
)

// StartDB is how far below its level the output begins, so that a device turned
// up too far is noticed before it hurts (a usual caution in sound engineering).
const StartDB = -20

const (
	risingDBPerSec  = 20 / 3.0
	fallingDBPerSec = 300
	silenceDB       = -90
)

// fader moves the gain of the output towards a target. Only the audio thread
// moves it; anyone may set the target.
type fader struct {
	rateHz   float64
	gainDB   float64 // audio thread
	targetDB atomic.Uint64
	shownDB  atomic.Uint64 // gainDB, for whoever shows it
	silent   atomic.Bool
}

func newFader(rateHz int) *fader {
	f := &fader{rateHz: float64(rateHz), gainDB: StartDB}
	f.shownDB.Store(math.Float64bits(StartDB))
	f.set(0)
	return f
}

// set chooses the gain to move to, in dB; silenceDB or less is none.
func (f *fader) set(targetDB float64) { f.targetDB.Store(math.Float64bits(targetDB)) }

// apply moves the gain and applies it to out, interleaved stereo. Audio thread: no
// allocation, lock or I/O.
func (f *fader) apply(out []float32) {
	frames := len(out) / 2
	from := f.gainDB
	target := math.Float64frombits(f.targetDB.Load())
	sec := float64(frames) / f.rateHz
	if target > from {
		f.gainDB = min(target, from+risingDBPerSec*sec)
	} else {
		f.gainDB = max(target, from-fallingDBPerSec*sec)
	}
	f.silent.Store(from <= silenceDB)
	f.shownDB.Store(math.Float64bits(f.gainDB))
	gain, end := linear(from), linear(f.gainDB)
	if gain == 1 && end == 1 {
		return
	}
	step := (end - gain) / float32(frames)
	for i := 0; i+1 < len(out); i += 2 {
		out[i] *= gain
		out[i+1] *= gain
		gain += step
	}
}

// linear is the gain of a level in dB; 0 at silenceDB and below.
func linear(db float64) float32 {
	if db <= silenceDB {
		return 0
	}
	return float32(sound.DBToAmplitude(db))
}
