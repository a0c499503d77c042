// A voice's frames: the head first, then the ring.

package stream

import "sync/atomic"

// Feed gives one voice the frames of its cycle, counted from the note's start:
// the head from memory, then the ring. All of it runs on the audio thread: no
// allocation, lock, I/O or log.
type Feed struct {
	ring     *ring
	misses   *atomic.Int64
	head     *Head
	empty    Head  // head of a note that begins without one
	ringFrom int64 // note frame of the ring's frame 0
	state    feedState
}

type feedState int

const (
	flowing feedState = iota
	ending            // the frames run out: the voice fades on what is left
	waiting           // silent until the order placed ahead of it has arrived
)

const (
	// KeptFrames is how many frames must be there beyond a stretch for the voice to sound on: after the first no of
	// Ready it can fade on so many from the beginning of that stretch.
	KeptFrames = 2048
	// skipAhead is how far ahead of a voice that ran dry its next order begins.
	skipAhead = 8192
)

// Start begins a note at head; step is the 32.32 step at which it begins.
func (f *Feed) Start(head *Head, step uint64) {
	f.head, f.state = head, flowing
	f.order(head.frames()-WindowFrames, 0, step)
}

// StartAhead begins a note at any frame of a cycle, without a head: it is silent until frames that lie a little ahead
// have been read.
func (f *Feed) StartAhead(cycle *Cycle, startFrame int64, step uint64) {
	f.empty.cycle, f.empty.startFrame = cycle, startFrame
	f.head, f.state = &f.empty, waiting
	f.order(skipAhead, 0, step)
}

// Resume goes on with a note at noteFrame, once Reader.FillAll has read what it needs there: all of it then sounds,
// with nothing left out.
func (f *Feed) Resume(cycle *Cycle, startFrame, noteFrame int64, step uint64) {
	f.empty.cycle, f.empty.startFrame = cycle, startFrame
	f.head, f.state = &f.empty, flowing
	from := noteFrame - headBefore
	f.order(from, from, step)
}

// order has the ring begin at noteFrame, while the voice is at note frame now.
func (f *Feed) order(noteFrame, now int64, step uint64) {
	f.ringFrom = noteFrame
	f.ring.begin(f.head.cycle, f.head.startFrame+noteFrame, step)
	f.ring.let(now - noteFrame)
}

// Stop ends the note: nothing more is read for it.
func (f *Feed) Stop() {
	f.head = nil
	f.ring.begin(nil, 0, 0)
}

// Ready says whether the voice may sound through a stretch that needs note
// frames [from, to), and lets go of all before from. After its first no, the
// voice fades out on the next KeptFrames from there on, and does not ask before it
// has; then it advances in silence until Ready says yes, and fades in. What it
// missed never sounds later.
func (f *Feed) Ready(from, to int64, step uint64) bool {
	f.ring.let(from - f.ringFrom)
	enough := to+KeptFrames <= f.end()
	switch f.state {
	case flowing:
		if !enough {
			f.state = ending
			if !f.ring.failed() { // what cannot be read is counted by who reads
				f.misses.Add(1)
			}
		}
	case ending:
		f.order(to+skipAhead, to, step)
		f.state = waiting
	case waiting:
		if from < f.ringFrom {
			break
		}
		if enough {
			f.state = flowing
		} else {
			f.order(to+skipAhead, to, step) // overtaken: further ahead
		}
	}
	return f.state == flowing
}

// end returns the note frame up to which frames are there.
func (f *Feed) end() int64 {
	if n := f.ring.available(); n > 0 {
		return f.ringFrom + n
	}
	if f.state == waiting {
		return f.ringFrom
	}
	return max(f.head.frames(), f.ringFrom)
}

// Window returns note frames [from, from+n), n ≤ WindowFrames, or nil where
// they are not there.
func (f *Feed) Window(from int64, n int) []float32 {
	to := from + int64(n)
	if from >= -f.head.before && to <= f.head.frames() {
		return f.head.data[2*(from+f.head.before) : 2*(to+f.head.before)]
	}
	if from < f.ringFrom || to > f.ringFrom+f.ring.available() {
		return nil
	}
	return f.ring.window(from-f.ringFrom, n)
}
