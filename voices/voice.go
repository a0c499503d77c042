// One sounding voice: where it is in its cycle and how it moves through a stretch of output.

package voices

// Source gives a voice the frames of its recording, counted from the note's start; those before the start are
// negative.
type Source interface {
	// Window returns the interleaved stereo frames [from, from+n), or nil where they are not there.
	Window(from int64, n int) []float32
}

// WindowFrames is the most frames a voice asks its source for at once.
const WindowFrames = 1024

// Voice is a position in an endless recording. Its position is exact: whole frames and a 32-bit fraction.
type Voice struct {
	Frame    int64  // whole source frames since the note's start
	Fraction uint32 // of a source frame, in 2^-32
	Step     uint64 // 32.32 source frames for each output frame
}

// Span returns the source frames [from, to) that Render reads for the next frames output frames.
func (v *Voice) Span(m *Mixer, frames int, dstep int64) (from, to int64) {
	before, after := m.Reach()
	last := advance(uint64(v.Fraction), v.Step, dstep, frames-1)
	return v.Frame - int64(before), v.Frame + int64(last>>32) + int64(after) + 1
}

// Render adds len(dst)/2 frames to dst, the gain running in a straight line from gain0 to gain1 and the step changing
// by dstep after each frame. A voice that is silent throughout, or whose source lacks the frames, only advances;
// Render says whether the source had what was needed.
//
// Audio thread. No allocation, lock, system call or log.
func (v *Voice) Render(m *Mixer, source Source, dst []float32, dstep int64, gain0, gain1 float32) bool {
	frames := len(dst) / 2
	if gain0 == 0 && gain1 == 0 {
		v.Advance(frames, dstep)
		return true
	}
	gainStep := (gain1 - gain0) / float32(frames)
	whole := true
	for done := 0; done < frames; {
		n := v.fitting(m, frames-done, dstep)
		from, to := v.Span(m, n, dstep)
		window := source.Window(from, int(to-from))
		if window == nil {
			v.Advance(n, dstep)
			whole = false
		} else {
			piece := dst[2*done : 2*(done+n)]
			pos := uint64(v.Frame-from)<<32 | uint64(v.Fraction)
			end, step := m.Mix(piece, window, pos, v.Step, dstep, gain0+gainStep*float32(done),
				gain0+gainStep*float32(done+n))
			v.Frame, v.Fraction, v.Step = from+int64(end>>32), uint32(end), step
		}
		done += n
	}
	return whole
}

// Prefetch asks for the frames that Render will read for the next frames output frames, so that they are on their way
// while another voice is mixed.
func (v *Voice) Prefetch(m *Mixer, source Source, frames int) {
	from, to := v.Span(m, frames, 0)
	if window := source.Window(from, int(min(to-from, WindowFrames))); window != nil {
		Prefetch(window)
	}
}

// Advance moves the voice on by so many output frames without a sound.
func (v *Voice) Advance(frames int, dstep int64) {
	for frames > 0 {
		n := min(frames, maxFrames) // at any step, a position gains less than 2^32 frames
		pos := advance(uint64(v.Fraction), v.Step, dstep, n)
		v.Frame, v.Fraction = v.Frame+int64(pos>>32), uint32(pos)
		v.Step += uint64(n) * uint64(dstep)
		frames -= n
	}
}

// fitting returns how many of frames output frames one window can serve.
func (v *Voice) fitting(m *Mixer, frames int, dstep int64) int {
	for frames > 1 {
		from, to := v.Span(m, frames, dstep)
		if to-from <= WindowFrames {
			break
		}
		frames /= 2
	}
	return frames
}
