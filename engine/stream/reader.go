// Workers that read ahead for all voices.

package stream

import (
	"errors"
	"math"
	"sync"
	"sync/atomic"
	"time"
)

// Reader owns the rings of all voices and the workers that fill them, earliest
// deadline first.
type Reader struct {
	rings []ring
	feeds []Feed

	misses atomic.Int64 // times that a voice fell silent for want of frames
	errors atomic.Int64
	first  atomic.Pointer[error]

	telling sync.Mutex   // workers, and who asks
	told    map[Bed]bool // beds of which an error has been kept
	untold  []error      // kept and not taken yet

	stop    chan struct{}
	workers sync.WaitGroup
}

const (
	pieceFrames = 4096                 // frames read at a time, at least
	mostFrames  = 4 * pieceFrames      // at most: where reading falls behind, fewer and longer reads catch up
	restTime    = 2 * time.Millisecond // between looks at the rings when none lacks frames

	// Workers is how many read at once for a player: on a disk that takes 20 ms for each read, two would be too few
	// for 32 voices.
	Workers = 6
)

// NewReader makes a ring for each voice, of so many frames as RingFrames gives.
func NewReader(voices int, ringFrames int64) *Reader {
	r := &Reader{rings: make([]ring, voices), feeds: make([]Feed, voices), told: map[Bed]bool{}}
	each := int(2 * (ringFrames + WindowFrames))
	frames := make([]float32, each*voices) // one block without pointers
	for i := range r.rings {
		r.rings[i].frames = frames[i*each : (i+1)*each : (i+1)*each]
		r.rings[i].size = ringFrames
		r.feeds[i] = Feed{ring: &r.rings[i], misses: &r.misses}
	}
	return r
}

// Feed returns the feed of voice i; only the audio thread uses it.
func (r *Reader) Feed(i int) *Feed { return &r.feeds[i] }

// Misses returns how many times a voice fell silent because its frames were late.
func (r *Reader) Misses() int64 { return r.misses.Load() }

// Err returns the first error that reading met. A voice fades where its frames cannot be read.
func (r *Reader) Err() error {
	if first := r.first.Load(); first != nil {
		return *first
	}
	return nil
}

// Errors returns how many reads failed.
func (r *Reader) Errors() int64 { return r.errors.Load() }

// TakeErrors returns the first error of each bed that has failed since it was last asked; a bed is told of once. Not
// for the audio thread.
func (r *Reader) TakeErrors() []error {
	r.telling.Lock()
	defer r.telling.Unlock()
	taken := r.untold
	r.untold = nil
	return taken
}

// keep takes note of an error of reading.
func (r *Reader) keep(err error) {
	r.errors.Add(1)
	r.first.CompareAndSwap(nil, &err)
	r.telling.Lock()
	defer r.telling.Unlock()
	if failed := (*BedError)(nil); errors.As(err, &failed) && !r.told[failed.Bed] {
		r.told[failed.Bed] = true
		r.untold = append(r.untold, err)
	}
}

// Ready says whether all voices find their next frames of output. Any goroutine; no allocation or lock.
func (r *Reader) Ready(frames int) bool {
	for i := range r.rings {
		if !r.rings[i].ready(frames) {
			return false
		}
	}
	return true
}

// FillAll fills every ring in the calling goroutine, as a render does that is
// not bound to the clock and must miss nothing. No workers may run.
func (r *Reader) FillAll() {
	for i := range r.rings {
		ring := &r.rings[i]
		for {
			_, room, ok := ring.lack()
			if !ok || room < pieceFrames {
				break
			}
			r.fill(ring)
		}
	}
}

// serve fills one piece of the ring that would run dry first. It reports whether
// any ring took frames.
func (r *Reader) serve() bool {
	for {
		var neediest *ring
		shortest := int64(math.MaxInt64)
		for i := range r.rings {
			ring := &r.rings[i]
			lasts, room, ok := ring.lack()
			if ok && room >= pieceFrames && lasts < shortest && !ring.claimed.Load() {
				neediest, shortest = ring, lasts
			}
		}
		if neediest == nil {
			return false
		}
		if !neediest.claimed.CompareAndSwap(false, true) {
			continue // another worker was quicker
		}
		served := r.fill(neediest)
		neediest.claimed.Store(false)
		return served
	}
}

func (r *Reader) fill(ring *ring) bool {
	served, err := ring.fill(mostFrames)
	if err != nil {
		r.keep(err)
	}
	return served
}

// Start lets workers goroutines serve the rings until Close.
func (r *Reader) Start(workers int) {
	r.stop = make(chan struct{})
	for range workers {
		r.workers.Go(func() {
			for {
				select {
				case <-r.stop:
					return
				default:
				}
				if !r.serve() {
					time.Sleep(restTime)
				}
			}
		})
	}
}

// Settle waits until no worker reads for an order that was withdrawn before the
// call. Not for the audio thread.
func (r *Reader) Settle() {
	for i := range r.rings {
		for r.rings[i].claimed.Load() {
			time.Sleep(restTime)
		}
	}
}

// Close ends the workers.
func (r *Reader) Close() {
	if r.stop != nil {
		close(r.stop)
		r.workers.Wait()
		r.stop = nil
	}
}
