// Rendering ahead: a goroutine of its own fills the buffer of a stream that takes whole blocks.

package output

import "runtime"

// writer renders blocks and writes them. write returns when the block is in the buffer; an error ends
// the writer.
type writer struct {
	stop  chan struct{}
	ended chan struct{}
}

func startWriter(blockFrames int, render func(out []float32), write func(block []float32) error) *writer {
	w := &writer{stop: make(chan struct{}), ended: make(chan struct{})}
	go w.run(make([]float32, 2*blockFrames), render, write)
	return w
}

func (w *writer) run(block []float32, render func(out []float32), write func(block []float32) error) {
	defer close(w.ended)
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	for {
		select {
		case <-w.stop:
			return
		default:
		}
		render(block)
		if write(block) != nil {
			return
		}
	}
}

// end stops the writer and waits until it has ended.
func (w *writer) end() {
	close(w.stop)
	<-w.ended
}
