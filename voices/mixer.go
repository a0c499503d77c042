// Package voices plays one sounding voice: where it is in its source, how it is resampled to another pitch,
// and how loud it is. It is pure arithmetic on slices: no files, no devices, no goroutines.
//
// Positions count source frames (one sample per channel) in unsigned 32.32 fixed point: the high 32 bits are
// the whole frame, the low 32 bits the fraction. A step is what the position gains per output frame, so 1<<32
// plays at the recorded pitch and 1<<31 an octave lower. Positions are exact: n frames at step s always gain
// n·s.
package voices

import (
	"fmt"
	"math"
)

const (
	// MaxStep is the greatest step a mixer can be made for, in source frames per output frame: four octaves
	// up.
	MaxStep = 16

	// maxFrames keeps frame counts exact in float32 and window arithmetic within 64 bits.
	maxFrames = 1 << 24
)

// kernel mixes len(dst)/2 frames from one table. Frame i has the gain gain + gainStep·(first + i). The caller
// has checked that src holds every frame the table reads.
type kernel func(dst, src []float32, t *table, pos, step, dstep uint64, first int, gain, gainStep float32)

// Mixer resamples and mixes voices. One mixer serves any number of voices, one after the other, on one
// goroutine.
type Mixer struct {
	kernel kernel
	tables []*table // by rising lastStep
}

// NewMixer makes a mixer for steps up to maxStep source frames per output frame (above 0, at most MaxStep).
// It builds tables the first time a quality and step are asked for, which takes milliseconds to a second: not
// for the audio thread.
func NewMixer(q Quality, a Arithmetic, maxStep float64) (*Mixer, error) {
	if !q.known() {
		return nil, fmt.Errorf("quality %d is not known: use Economy, Standard, High or Best", int(q))
	}
	if !(maxStep > 0 && maxStep <= MaxStep) {
		return nil, fmt.Errorf("greatest step %v is out of range: it must be above 0 and at most %d source frames "+
			"per output frame", maxStep, MaxStep)
	}
	k := kernelFor(a)
	if k == nil {
		return nil, fmt.Errorf("this processor cannot compute with %v arithmetic: use Fastest, which finds what it "+
			"can", a)
	}
	return &Mixer{k, tablesFor(q, maxStep)}, nil
}

// Reach returns how many frames Mix may read before the whole frame of a position and after it, the widest
// over all steps this mixer was made for.
func (m *Mixer) Reach() (before, after int) {
	widest := m.tables[len(m.tables)-1]
	return widest.before(), widest.after()
}

// Mix adds len(dst)/2 stereo frames of a voice to dst and returns the position and step of the frame after
// them.
//
// dst and src are interleaved stereo (left, right, left, …); frame 0 of src is position 0. The step changes
// by dstep (signed 32.32) after every frame, so a glide has no stairs. Gain runs in a straight line from
// gain0 at the first frame to gain1 at the frame after the last, where the next stretch continues.
//
// Any stretch may be cut in two at any frame: positions stay the same to the bit and samples within the
// rounding of the gain. Steps above the one the mixer was made for play, with partials that fold.
//
// Mix panics if src lacks frames that are needed (see Reach), if a step leaves 0…MaxStep, or for more than
// 2^24 frames.
//
// Audio thread. No allocation, lock, system call or log.
func (m *Mixer) Mix(dst, src []float32, pos, step uint64, dstep int64, gain0, gain1 float32) (newPos, newStep uint64) {
	frames := len(dst) / 2
	if frames == 0 {
		return pos, step
	}
	checkSteps(frames, step, dstep)
	gainStep := (gain1 - gain0) / float32(frames)
	for done := 0; done < frames; {
		t, n := m.tableAt(step, dstep, frames-done)
		t.checkWindow(len(src)/2, pos, advance(pos, step, dstep, n-1))
		m.kernel(dst[2*done:2*(done+n)], src, t, pos, step, uint64(dstep), done, gain0, gainStep)
		pos = advance(pos, step, dstep, n)
		step += uint64(n) * uint64(dstep)
		done += n
	}
	return pos, step
}

// tableAt returns the table for a step and how many frames, at most frames, the gliding step stays with it.
// Choosing by frame, not by stretch, is what lets a stretch be cut anywhere.
func (m *Mixer) tableAt(step uint64, dstep int64, frames int) (*table, int) {
	i, last := 0, len(m.tables)-1
	for i < last && step > m.tables[i].lastStep {
		i++
	}
	stay := uint64(math.MaxUint64)
	switch {
	case dstep > 0 && i < last:
		stay = (m.tables[i].lastStep-step)/uint64(dstep) + 1
	case dstep < 0 && i > 0:
		stay = (step-m.tables[i-1].lastStep-1)/uint64(-dstep) + 1
	}
	return m.tables[i], int(min(stay, uint64(frames)))
}

// advance returns the position after n frames: n steps, each dstep greater than the one before. Unsigned
// arithmetic wraps exactly as n single additions would.
func advance(pos, step uint64, dstep int64, n int) uint64 {
	count := uint64(n)
	return pos + count*step + count*(count-1)/2*uint64(dstep)
}

// checkSteps makes sure that positions rise and cannot overflow, so that the first and the last tell the
// window.
func checkSteps(frames int, step uint64, dstep int64) {
	const limit = MaxStep * unitStep
	if frames > maxFrames {
		panic(fmt.Sprintf("voices: a stretch of %d frames is too long: at most %d", frames, maxFrames))
	}
	if step > limit || dstep > limit || dstep < -limit {
		panic(fmt.Sprintf("voices: step %#x changing by %#x is out of range: at most %#x", step, dstep, uint64(limit)))
	}
	if end := int64(step) + int64(frames-1)*dstep; end < 0 || end > limit {
		panic(fmt.Sprintf("voices: step %#x changing by %#x leaves 0…%#x within %d frames", step, dstep,
			uint64(limit), frames))
	}
}

// checkWindow panics unless a source of so many frames holds all that is read between two positions.
func (t *table) checkWindow(sourceFrames int, first, last uint64) {
	if first>>32 < uint64(t.before()) || last < first || last>>32+uint64(t.after()) >= uint64(sourceFrames) {
		panic(fmt.Sprintf("voices: frames %d to %d of the source are needed, it has 0 to %d",
			int64(first>>32)-int64(t.before()), last>>32+uint64(t.after()), sourceFrames-1))
	}
}
