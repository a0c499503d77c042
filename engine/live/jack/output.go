//go:build cgo && unix

// The sounding side of the client.

package jack

/*
#cgo linux LDFLAGS: -ldl
#include <stdlib.h>
#include "output.h"
*/
import "C"

import (
	"errors"
	"runtime/cgo"
	"unsafe"
)

// largestPeriod is the most frames that are rendered at once; a longer period is made of several.
const largestPeriod = 8192

// Output is a connection to one server with two outputs.
type Output struct {
	c      *C.output_jack
	handle cgo.Handle
	render func(out []float32)
	ready  func(frames int) bool // nil: always
	block  []float32             // interleaved; the audio thread's own
	input  *C.char               // that the left side plays into
}

// OpenOutput is nil where no server runs, and while somebody still holds the client of a server that has gone.
func OpenOutput() *Output {
	name := C.CString(ClientName)
	defer C.free(unsafe.Pointer(name))
	c := C.output_jack_open(name)
	if c == nil {
		return nil
	}
	return &Output{c: c}
}

// RateHz is the server's rate.
func (o *Output) RateHz() int { return int(C.output_jack_rate(o.c)) }

// PeriodFrames is how many frames the server asks for at a time.
func (o *Output) PeriodFrames() int { return int(C.output_jack_block(o.c)) }

// Inputs is the full names of all audio inputs of other clients.
func (o *Output) Inputs() (inputs []string) {
	names := C.output_jack_inputs(o.c)
	if names == nil {
		return nil
	}
	defer C.output_jack_free(names)
	for p := names; *p != nil; p = (**C.char)(unsafe.Add(unsafe.Pointer(p), unsafe.Sizeof(*p))) {
		inputs = append(inputs, C.GoString(*p))
	}
	return inputs
}

// LatencyFrames is the way from an input to the loudspeaker. A server that does not tell has one period at least.
func (o *Output) LatencyFrames(input string) int {
	name := C.CString(input)
	defer C.free(unsafe.Pointer(name))
	return max(int(C.output_jack_latency(o.c, name)), o.PeriodFrames())
}

// Start begins to play into two inputs what render fills its argument with, interleaved stereo: in the server's own
// call with ringBlocks 0; otherwise on a thread that keeps a ring of so many blocks of blockFrames filled. That thread
// waits until ready, which may be nil, says yes to a block, while there is enough left to play. Once.
func (o *Output) Start(left, right string, blockFrames, ringBlocks int, render func(out []float32),
	ready func(frames int) bool) error {
	o.render, o.ready, o.block = render, ready, make([]float32, 2*largestPeriod)
	o.handle = cgo.NewHandle(o)
	rightC := C.CString(right)
	defer C.free(unsafe.Pointer(rightC))
	o.input = C.CString(left)
	step := C.output_jack_start(o.c, o.input, rightC, C.uint32_t(blockFrames), C.uint32_t(ringBlocks),
		C.uintptr_t(o.handle))
	if step != 0 {
		return startErrors[step]
	}
	return nil
}

// startErrors is by the step that failed.
var startErrors = [...]error{
	1: errors.New("JACK has no room for more ports: close other music programs"),
	2: errors.New("JACK gives no memory or thread to render ahead: close other programs, or play without --safe"),
	3: errors.New("its inputs went while it was being opened: see that the program that has them still runs"),
}

// jackOutputRender: the audio thread, JACK's own or the one that fills the ring.
//
//export jackOutputRender
func jackOutputRender(handle C.uintptr_t, left, right *C.float, frames C.uint32_t) {
	o := cgo.Handle(handle).Value().(*Output)
	o.play(unsafe.Slice((*float32)(left), int(frames)), unsafe.Slice((*float32)(right), int(frames)))
}

// jackOutputReady: the thread that fills the ring.
//
//export jackOutputReady
func jackOutputReady(handle C.uintptr_t, frames C.uint32_t) C.int {
	o := cgo.Handle(handle).Value().(*Output)
	if o.ready == nil || o.ready(int(frames)) {
		return 1
	}
	return 0
}

// play fills a period, which JACK wants as two channels. No allocation, lock or system call.
func (o *Output) play(left, right []float32) {
	for len(left) > 0 {
		count := min(len(left), largestPeriod)
		block := o.block[:2*count]
		o.render(block)
		for i := range count {
			left[i], right[i] = block[2*i], block[2*i+1]
		}
		left, right = left[count:], right[count:]
	}
}

// Counts tells how often the server asked for a block, and how often there was a gap.
func (o *Output) Counts() (calls, gaps int64) {
	return int64(C.output_jack_calls(o.c)), int64(C.output_jack_underruns(o.c))
}

// Heard says whether the input that Start was told to play into is still there.
func (o *Output) Heard() bool { return C.output_jack_has(o.c, o.input) != 0 }

// Close leaves the server: no callback runs any more. Should that hang, the handle stays good for a late one. No call
// may follow.
func (o *Output) Close() {
	C.output_jack_close(o.c)
	if o.handle != 0 {
		o.handle.Delete()
		C.free(unsafe.Pointer(o.input))
	}
}
