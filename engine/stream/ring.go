// The ring through which one voice's frames come from a worker.

package stream

import "sync/atomic"

// ring carries one voice's frames from the workers to the audio thread. The
// audio thread orders a stretch of a cycle; a worker fills it in. Each order has
// a number, and each side says to which order its count belongs, so that frames
// of an old order are never taken for those of a new one.
//
// Slots are reused only behind the frame that the audio thread said it still
// needs. The first WindowFrames slots stand again behind the last one, so that
// any window is contiguous.
type ring struct {
	frames []float32 // (size+WindowFrames) stereo frames
	size   int64     // a power of two

	// The order: written by the audio thread, odd while it is being written.
	order atomic.Uint32
	cycle atomic.Pointer[Cycle] // nil: nothing to read
	from  atomic.Int64          // cycle frame of the ring's frame 0
	step  atomic.Uint64         // 32.32 frames of the cycle for each frame of output

	needed atomic.Uint64 // audio thread: the oldest frame still needed, with the order's number
	filled atomic.Uint64 // worker: frames delivered, with the order's number

	spoilt atomic.Uint32 // worker: the order of which a piece could not be read; nothing more is read for it

	claimed atomic.Bool // held by the worker that fills this ring
	served  uint32      // the order being filled; under claimed
}

// WindowFrames is the largest stretch that the audio thread may ask for at once.
const WindowFrames = 1024

const (
	countBits = 44
	countMask = 1<<countBits - 1
)

func tagged(order uint32, count int64) uint64 {
	return uint64(order)<<countBits | uint64(count)&countMask
}

// count returns the frames, which may be below 0, that a tagged count gives for
// an order, 0 if it belongs to another one.
func count(tag uint64, order uint32) int64 {
	if uint32(tag>>countBits) != order&(1<<(64-countBits)-1) {
		return 0
	}
	return int64(tag<<(64-countBits)) >> (64 - countBits)
}

// begin places an order. Audio thread: no allocation, lock or I/O.
func (r *ring) begin(cycle *Cycle, from int64, step uint64) {
	number := r.order.Load()
	r.order.Store(number + 1)
	r.cycle.Store(cycle)
	r.from.Store(from)
	r.step.Store(step)
	r.order.Store(number + 2)
}

// failed says whether a piece of the present order could not be read. Audio thread.
func (r *ring) failed() bool { return r.spoilt.Load() == r.order.Load() }

// available returns how many frames of the present order are there. Audio thread.
func (r *ring) available() int64 { return count(r.filled.Load(), r.order.Load()) }

// let gives the slots of all frames before from back to the workers. from is below
// 0 while the ring is not needed yet: so the workers know how long they have.
// Audio thread.
func (r *ring) let(from int64) { r.needed.Store(tagged(r.order.Load(), from)) }

// window returns frames [from, from+n) of the order, which must be available and
// still needed. Audio thread.
func (r *ring) window(from int64, n int) []float32 {
	slot := from & (r.size - 1)
	return r.frames[2*slot : 2*(slot+int64(n))]
}

// lack tells a worker how long this ring lasts, in frames of output, and how
// many frames it can take. ok is false where there is nothing to do.
func (r *ring) lack() (lasts, room int64, ok bool) {
	number := r.order.Load()
	if number&1 == 1 || r.cycle.Load() == nil || r.spoilt.Load() == number {
		return 0, 0, false
	}
	filled, needed := count(r.filled.Load(), number), count(r.needed.Load(), number)
	step := max(r.step.Load(), 1)
	return int64(float64(filled-needed) * (1 << 32) / float64(step)), r.room(filled, needed), true
}

// ready says whether the voice finds its next frames of output without running low, or would not for want of reading.
// Any goroutine.
func (r *ring) ready(frames int) bool {
	number := r.order.Load()
	if number&1 == 1 || r.cycle.Load() == nil || r.spoilt.Load() == number {
		return true
	}
	ahead := count(r.filled.Load(), number) - count(r.needed.Load(), number)
	most := r.size - pieceFrames // what a worker lets it come to
	return ahead >= min(int64(float64(frames)*float64(r.step.Load())/(1<<32))+KeptFrames+WindowFrames, most)
}

// room returns how many slots are free.
func (r *ring) room(filled, needed int64) int64 { return r.size - (filled - max(needed, 0)) }

// fill reads up to limit frames of the order into the free slots. The caller
// holds the claim. It reports whether anything was delivered. A piece that cannot be read is not delivered, and ends
// the order: the voice fades on what is there.
func (r *ring) fill(limit int64) (bool, error) {
	number := r.order.Load()
	cycle, from := r.cycle.Load(), r.from.Load()
	if number&1 == 1 || cycle == nil || r.order.Load() != number {
		return false, nil // a new order is being written: the next round sees it whole
	}
	if r.served != number {
		r.served = number
		r.filled.Store(tagged(number, 0))
	}
	at := count(r.filled.Load(), number)
	slot := at & (r.size - 1)
	n := min(r.room(at, count(r.needed.Load(), number)), limit, r.size-slot)
	if n <= 0 {
		return false, nil
	}
	err := cycle.ReadFrames(r.frames[2*slot:2*(slot+n)], from+at)
	if err != nil && n > pieceFrames { // the beginning may be there
		n = pieceFrames
		err = cycle.ReadFrames(r.frames[2*slot:2*(slot+n)], from+at)
	}
	if err != nil && !singleFrames(err) {
		r.spoilt.Store(number)
		return false, err
	}
	if slot < WindowFrames {
		copy(r.frames[2*(r.size+slot):], r.frames[2*slot:2*min(slot+n, WindowFrames)])
	}
	r.filled.Store(tagged(number, at+n))
	return true, err
}
