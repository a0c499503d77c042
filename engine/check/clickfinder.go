// Finding clicks in one channel of a sound.

package check

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"

	"lapstrake/mapping/sound"
)

const (
	// clickFloorDB: a click so soft is not heard at a usual level. With full scale at 88 dB of sound pressure it lies
	// at 28 dB, and clicks are heard from about 35 dB peak on (common practice; from memory).
	clickFloorDB = -60
	aloneSec     = 0.1 // on either side of a click there is nothing like it
	leastOverDB  = 6   // by which it exceeds all there

	clickCell    = 2 * predictOrder // frames in which the largest error is looked at
	clickGap     = 48               // frames on either side of a click that are touched by it
	spoilsTimes  = 6                // the errors' RMS: larger ones spoil a model
	mostReach    = 3                // samples on either side of the middle of a click
	mendedDB     = -6               // errors without the click, against it
	mendedOverDB = 3                // and against the largest beside it
	// what was added, against the error that it makes: more is no click but a soft bump
	addedOverDB = 9

	changeFrames = 512  // before and after, in which levels are compared
	jumpFrames   = 1024 // the same for a jump
	changeFromHz = 1500 // in octaves from here up
	mostRiseDB   = 5    // of an octave after a click
	mostErrorDB  = 4    // rise of the errors after a click, over short stretches and long ones
	mostSlopeDB  = 5    // rise of the sound's slope, which weighs what is high
	spareOverDB  = 15   // from which on these limits widen
	farOverDB    = 20   // from which on they do not count: a stroke that begins there has no error like it
	jumpOverDB   = 20   // by which a jump exceeds all beside it
	mostJumpDB   = 3.5  // by which octaves and slopes may differ on both sides of a jump

	hiddenSec = 0.01 // of sound around a click, which hides it
	// below what hides it in every band from hiddenLowHz to hiddenHighHz: so soft a click is not heard
	hiddenDB     = 6
	hiddenLowHz  = 1000 // a shorter piece of sound tells no lower bands apart, and a click has little there
	hiddenHighHz = 15000
)

// click is a moment that neither the sound before it nor that after it foretells, while both foretell themselves.
type click struct {
	Frame    int64
	Side     int     // 0 left, 1 right: on which it stands out most
	Jump     bool    // the sound breaks off and goes on elsewhere; else something short was added to it
	Peak     float64 // error there, full scale ±1: of a click of one sample its amplitude
	OverDB   float64 // over the largest error beside it
	SpreadDB float64 // of the largest errors of cells beside it
}

// clickFinder finds clicks. What tells them from onsets: they stand alone, and the sound goes on as before. In 100
// notes of cello, guitar, harp and trumpet that nothing here was set on (npm tonejs-instrument-*-mp3 1.1.1 and 1.1.2,
// 501 s; tried by hand) it finds no click beyond 15 dB, and of clicks of one sample planted into them, beyond 15 and
// 30 dB: 99 and 99 % at −20 dBFS, 98 and 97 % at −35, 82 and 23 % at −50.
type clickFinder struct {
	p       *predictor
	hop     int // frames for which a model serves
	alone   int // cells on either side that are compared
	edge    int // cells on either side in which none are found
	fft     *fourier.FFT
	jumpFFT *fourier.FFT
	hideFFT *fourier.FFT
	rateHz  int
	calm    []float32 // the sound without what sticks out most, from which models are found: a click would spoil them
	errors  []float32
	largest []float32 // error of each cell
}

func newClickFinder(rateHz int) *clickFinder {
	p := newPredictor(rateHz)
	f := &clickFinder{
		p: p, rateHz: rateHz,
		hop:   max(len(p.window)*3/4/clickCell, 1) * clickCell,
		alone: int(math.Ceil(aloneSec * float64(rateHz) / clickCell)),
		fft:   fourier.NewFFT(changeFrames), jumpFFT: fourier.NewFFT(jumpFrames),
		hideFFT: fourier.NewFFT(sound.PowerOfTwo(hiddenSec, rateHz)),
	}
	f.edge = f.alone + 3 + len(p.window)/clickCell
	return f
}

// margin is how many frames find needs on either side of those in which it finds clicks.
func (f *clickFinder) margin() int { return (f.edge + 1) * clickCell }

// find lists the clicks between the margins of samples, by their index. Between them lie whole cells.
func (f *clickFinder) find(samples []float32) (found []click) {
	const edge = clickCell // at the very ends nothing is foretold
	cells := len(samples)/clickCell - 2
	f.calm = append(f.calm[:0], samples...)
	f.errors = slices.Grow(f.errors[:0], cells*clickCell)[:cells*clickCell]
	for from := 0; from < len(f.errors); from += f.hop {
		to := min(from+f.hop, len(f.errors))
		f.p.learn(f.calm, edge+(from+to)/2)
		f.p.errors(f.errors[from:to], samples, edge+from)
		if f.calmDown(f.errors[from:to], edge+from) {
			f.p.learn(f.calm, edge+(from+to)/2)
			f.p.errors(f.errors[from:to], samples, edge+from)
		}
	}
	f.largest = slices.Grow(f.largest[:0], cells)[:cells]
	for c := range cells {
		f.largest[c] = sound.Peak(f.errors[c*clickCell:][:clickCell])
	}
	floor := float32(sound.DBToAmplitude(clickFloorDB))
	for c := f.edge; c < cells-f.edge; c++ {
		here := f.largest[c]
		if here < floor || here < f.largest[c-1] || here <= f.largest[c+1] || !f.standsAlone(c) {
			continue
		}
		at := c * clickCell
		for f.errors[at] != here && f.errors[at] != -here {
			at++
		}
		if k, is := f.examine(samples, edge+at, c); is {
			found = append(found, k)
		}
	}
	return found
}

// calmDown takes off the calm sound what the largest of some errors tells to have been added, if it sticks out.
func (f *clickFinder) calmDown(errors []float32, from int) bool {
	peak := sound.Peak(errors)
	if float64(peak) < spoilsTimes*math.Sqrt(sound.MeanSquare(errors)) {
		return false
	}
	at := 0
	for errors[at] != peak && errors[at] != -peak {
		at++
	}
	if at == 0 || at == len(errors)-1 {
		return false
	}
	for i, added := range f.p.added(errors[at-1 : at+2]) {
		f.calm[from+at-1+i] -= float32(added)
	}
	return true
}

func (f *clickFinder) standsAlone(cell int) bool {
	limit := f.largest[cell] / float32(sound.DBToAmplitude(leastOverDB))
	for d := 2; d <= f.alone; d++ {
		if f.largest[cell-d] > limit || f.largest[cell+d] > limit {
			return false
		}
	}
	return true
}

// examine tells a click from what it might be else.
func (f *clickFinder) examine(samples []float32, at, cell int) (k click, is bool) {
	var beside []float64
	for d := 2; d <= f.alone; d++ {
		for _, e := range []float32{f.largest[cell-d], f.largest[cell+d]} {
			beside = append(beside, sound.AmplitudeDB(max(float64(e), 1e-9)))
		}
	}
	k = click{Frame: int64(at), Peak: float64(f.largest[cell]), SpreadDB: spread(beside)}
	most := slices.Max(beside)
	k.OverDB = sound.AmplitudeDB(k.Peak) - most
	f.p.learn(f.calm, at)
	if f.hidden(at, k.Peak) {
		return k, false
	}
	if mended, smooth := f.mended(samples, at, sound.DBToAmplitude(most)); mended && !smooth {
		riseDB, _ := f.octaves(f.fft, samples, at)
		spare := max(k.OverDB-spareOverDB, 0) / 2 // what stands out far need not go on quite as before
		if riseDB < mostRiseDB+spare && f.errorRise(samples, at) < mostErrorDB+spare &&
			slopeRise(samples, at, changeFrames) < mostSlopeDB+spare || k.OverDB > farOverDB {
			return k, true
		}
	}
	k.Jump = true
	riseDB, fallDB := f.octaves(f.jumpFFT, samples, at)
	most = mostJumpDB + max(k.OverDB-jumpOverDB, 0)/4
	return k, k.OverDB > jumpOverDB && max(riseDB, fallDB) < most &&
		math.Abs(slopeRise(samples, at, jumpFrames)) < most
}

// mended says whether the sound is whole again once what was added to a few samples is taken off them; smooth, whether
// that is much more than the error tells: a soft bump such as strokes begin with.
func (f *clickFinder) mended(samples []float32, at int, most float64) (mended, smooth bool) {
	const around = 2*predictOrder + mostReach
	errors := f.errorsAround(samples, at, around)
	peak := math.Abs(float64(errors[around]))
	limit := min(most*sound.DBToAmplitude(mendedOverDB), peak*sound.DBToAmplitude(mendedDB))
	for reach := 0; reach <= mostReach; reach++ {
		added := f.p.added(errors[around-reach : around+reach+1])
		largest, left := 0.0, 0.0
		for _, a := range added {
			largest = max(largest, math.Abs(a))
		}
		for i, e := range errors {
			error := float64(e)
			for j, a := range added {
				error -= a * f.p.weight(i-(around-reach+j))
			}
			left = max(left, math.Abs(error))
		}
		if left <= limit {
			return true, largest > peak*sound.DBToAmplitude(addedOverDB)
		}
	}
	return false, false
}

// hidden says whether the sound around a sample hides a click of one sample there: whether it lies hiddenDB below the
// sound in every auditory band (Glasberg & Moore 1990) that a click is heard by. That a sound is heard in others from
// a few dB below them on, in one band, is common practice.
func (f *clickFinder) hidden(at int, peak float64) bool {
	n := f.hideFFT.Len()
	piece := make([]float64, n)
	for i := range piece {
		piece[i] = sound.HannEven(i, n) * float64(f.calm[at-n/2+i])
	}
	bands, clicks := map[int]float64{}, map[int]float64{}
	for bin, value := range f.hideFFT.Coefficients(nil, piece) {
		hz := float64(bin*f.rateHz) / float64(n)
		if hz >= hiddenLowHz && hz <= hiddenHighHz {
			band := int(sound.ERBNumber(hz))
			bands[band] += sound.PowerOf(value)
			clicks[band] += peak * peak
		}
	}
	for band, power := range bands {
		if clicks[band] > power*sound.DBToPower(-hiddenDB) {
			return false
		}
	}
	return true
}

// octaves compares the errors before and after a sample: by how many dB the octave that rises most rises, and the one
// that falls most falls.
func (f *clickFinder) octaves(fft *fourier.FFT, samples []float32, at int) (riseDB, fallDB float64) {
	n := fft.Len()
	errors := f.errorsAround(samples, at, n+clickGap)
	before, after := make([]float64, n), make([]float64, n)
	for i := range n {
		weight := sound.Hann(n+i, 2*n) // falls with the distance
		before[i], after[i] = weight*float64(errors[n-1-i]), weight*float64(errors[n+2*clickGap+1+i])
	}
	b, a := fft.Coefficients(nil, before), fft.Coefficients(nil, after)
	riseDB, fallDB = math.Inf(-1), math.Inf(-1)
	for from := max(int(changeFromHz*n/f.rateHz), 1); from < n/2; from *= 2 {
		was, is := 0.0, 0.0
		for i := from; i < min(2*from, n/2); i++ {
			was, is = was+sound.PowerOf(b[i]), is+sound.PowerOf(a[i])
		}
		by := sound.PowerDB(max(is, 1e-30)) - sound.PowerDB(max(was, 1e-30))
		riseDB, fallDB = max(riseDB, by), max(fallDB, -by)
	}
	return riseDB, fallDB
}

// errorRise is by how many dB the errors rise at a sample, over short stretches and long ones.
func (f *clickFinder) errorRise(samples []float32, at int) float64 {
	most := math.Inf(-1)
	for frames := changeFrames / 4; frames <= changeFrames; frames *= 2 {
		reach := clickGap + frames
		most = max(most, powerRise(f.errorsAround(samples, at, reach), reach, clickGap, frames))
	}
	return most
}

// errorsAround are those of so many samples on either side of one, by one model.
func (f *clickFinder) errorsAround(samples []float32, at, reach int) []float32 {
	errors := make([]float32, 2*reach+1)
	f.p.errors(errors, samples, at-reach)
	return errors
}

// slopeRise is by how many dB the differences from sample to sample rise over so many frames.
func slopeRise(samples []float32, at, frames int) float64 {
	reach := clickGap + frames
	slopes := make([]float32, 2*reach+1)
	for i := range slopes {
		slopes[i] = samples[at-reach+i] - samples[at-reach+i-1]
	}
	return powerRise(slopes, reach, clickGap, frames)
}

// powerRise is by how many dB the power of so many samples after a gap exceeds that of as many before it.
func powerRise(samples []float32, at, gap, frames int) float64 {
	const silence = 1e-18
	return sound.PowerDB(max(sound.MeanSquare(samples[at+gap+1:][:frames]), silence)) -
		sound.PowerDB(max(sound.MeanSquare(samples[at-gap-frames:][:frames]), silence))
}
