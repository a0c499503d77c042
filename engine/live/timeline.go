// The timeline: at what frame of the stream the clock stands, filtered from when blocks are asked for.

package live

import "math"

const (
	// loopHz is the bandwidth of the loop. A tenth of a hertz takes 1 ms of jitter down to under
	// 0.2 ms at 2048 frames and 48 kHz, and still follows the drift of a crystal.
	loopHz = 0.1
	// A block that is off by more than this, and by more than a quarter of its length, is no jitter.
	toleranceNs = 1e6
	// After a gap this long the stream has been opened anew, maybe on another device.
	restartNs = 250e6
	// The true rate of a device differs from the nominal one by much less than this.
	rateTolerance = 0.01
)

// timeline is a delay-locked loop of second order after F. Adriaensen, "Using a DLL to filter
// time", Linux Audio Conference 2005. It is fed once a block and keeps a straight line from frames
// to nanoseconds. Beyond the paper, it deals with what is not jitter: a late block is passed over,
// since those that follow in quick succession catch up with the line; one that comes with no
// catching up after it, or one that is early beyond jitter, moves the line at once.
//
// Owned by the audio thread. No allocation, lock or system call.
type timeline struct {
	nominalNs float64 // a frame, by the nominal rate

	started    bool
	blockFrame int64   // first frame of the present block
	frames     int     // its length
	blockNs    float64 // when it was due, filtered
	frameNs    float64 // length of a frame, filtered
	askedNs    int64   // when it was asked for
	settled    int     // blocks since the line was last moved
	late       bool    // the block before was passed over

	// earlyNs is by how much the present block was asked for before it was due; under 0 it was late.
	earlyNs float64
}

func newTimeline(rateHz int) timeline {
	nominalNs := 1e9 / float64(rateHz)
	return timeline{nominalNs: nominalNs, frameNs: nominalNs}
}

// begin takes note that frames frames from frame on are asked for at nowNs. It returns true when
// the stream begins anew: at first, after a long gap, or when frame does not follow the last block.
func (t *timeline) begin(frame int64, frames int, nowNs int64) (anew bool) {
	dueNs := t.blockNs + float64(t.frames)*t.frameNs
	lateNs := float64(nowNs) - dueNs
	lengthNs := float64(t.frames) * t.frameNs
	sinceNs := float64(nowNs - t.askedNs)
	limitNs := max(toleranceNs, lengthNs/4)
	wasLate := t.late
	t.late = false
	switch {
	case !t.started || frame != t.blockFrame+int64(t.frames) || lateNs > restartNs:
		t.started, anew = true, true
		t.frameNs = t.nominalNs
		dueNs = t.move(nowNs)
	case lateNs > limitNs && wasLate && sinceNs >= lengthNs/2, lateNs < -limitNs:
		dueNs = t.move(nowNs)
	case lateNs > limitNs:
		t.late = true
		t.earlyNs = -lateNs
	default:
		t.earlyNs = -lateNs
		dueNs += t.filter(lateNs, lengthNs)
	}
	t.blockFrame, t.frames, t.blockNs, t.askedNs = frame, frames, dueNs, nowNs
	return anew
}

// move lays the line through a block that is asked for at nowNs.
func (t *timeline) move(nowNs int64) (dueNs float64) {
	t.settled, t.earlyNs = 0, 0
	return float64(nowNs)
}

// filter takes an error into the slope of the line and returns what it does to the height. Both
// gains are the paper's (eq. 5: b = √2·ω, c = ω²), but that the height starts as the plain mean of
// the blocks so far: the nominal rate is near enough for that.
func (t *timeline) filter(lateNs, lengthNs float64) (heightNs float64) {
	t.settled++
	if lengthNs <= 0 {
		return 0
	}
	omega := min(2*math.Pi*loopHz*lengthNs/1e9, 0.5)
	frameNs := t.frameNs + omega*omega*lateNs/float64(t.frames)
	t.frameNs = min(max(frameNs, t.nominalNs*(1-rateTolerance)), t.nominalNs*(1+rateTolerance))
	return lateNs * max(math.Sqrt2*omega, 1/float64(t.settled+1))
}

// FrameAt is the frame, with its fraction, at which the stream stands at ns on the clock of Now: at
// the filtered time of a block's beginning it is the block's first frame. Times to come and times
// past lie on the present line.
func (t *timeline) FrameAt(ns int64) float64 {
	return float64(t.blockFrame) + (float64(ns)-t.blockNs)/t.frameNs
}
