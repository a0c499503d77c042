// Copies that leave the audio thread without a lock or an allocation.

package engine

import (
	"sync"
	"sync/atomic"
)

// handover hands copies of a thing from the audio thread to readers. Of three, the audio thread draws on one, readers
// copy from one, and one waits between them; who is done swaps its own for the waiting one. So no side ever waits for
// the other, and no copy is seen half drawn.
type handover[T any] struct {
	copies  [3]T
	waiting atomic.Uint32 // index in copies, and fresh where no reader has had it

	drawn int // index; the audio thread's

	reading sync.Mutex // readers', among themselves
	shown   int        // index
}

const fresh = 1 << 8

func (h *handover[T]) init() {
	h.drawn, h.shown = 0, 1
	h.waiting.Store(2)
}

// draw is the copy to draw on. Audio thread.
func (h *handover[T]) draw() *T { return &h.copies[h.drawn] }

// publish hands over what was drawn. Audio thread.
func (h *handover[T]) publish() { h.drawn = int(h.waiting.Swap(uint32(h.drawn)|fresh) &^ fresh) }

// read shows the newest copy, which is take's only until it returns. Any goroutine but the audio thread.
func (h *handover[T]) read(take func(newest *T)) {
	h.reading.Lock()
	defer h.reading.Unlock()
	if h.waiting.Load()&fresh != 0 {
		h.shown = int(h.waiting.Swap(uint32(h.shown)) &^ fresh)
	}
	take(&h.copies[h.shown])
}
