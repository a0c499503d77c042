//go:build cgo && unix

// JACK, spoken to directly: when its server goes, PortAudio's Stop waits for ten minutes and its Terminate aborts
// the whole program by an assertion (19.6), while libjack itself closes cleanly and connects again.

package live

/*
#cgo linux LDFLAGS: -ldl
#include <stdlib.h>
#include "output_jack.h"
*/
import "C"

import (
	"errors"
	"fmt"
	"runtime/cgo"
	"strings"
	"time"
	"unsafe"
)

const (
	jackHost   = "JACK"
	jackClient = "lapstrake"
	// largestJACKPeriod is the most frames that are rendered at once; a longer period is made of several.
	largestJACKPeriod = 8192
)

// jackDevices lists the clients of the running server that have audio inputs; none where there is no server.
func jackDevices() []Device {
	client := openJACKClient()
	if client == nil {
		return nil
	}
	defer closeJACKClient(client)
	rate, block := int(C.output_jack_rate(client)), int(C.output_jack_block(client))
	var devices []Device
	at := map[string]int{}
	for _, input := range jackInputs(client) {
		name, _, _ := strings.Cut(input, ":")
		i, seen := at[name]
		if !seen {
			i = len(devices)
			at[name] = i
			lowest := jackLatency(client, input, rate)
			devices = append(devices, Device{
				Name: name, Host: jackHost, RateHz: rate, BlockFrames: block,
				LowLatency: lowest, SafeLatency: lowest + safeLatency, Default: name == "system",
			})
		}
		devices[i].Channels++
	}
	return devices
}

func openJACKClient() *C.output_jack {
	name := C.CString(jackClient)
	defer C.free(unsafe.Pointer(name))
	return C.output_jack_open(name)
}

func closeJACKClient(client *C.output_jack) { C.output_jack_close(client) }

func jackInputs(client *C.output_jack) []string {
	names := C.output_jack_inputs(client)
	if names == nil {
		return nil
	}
	defer C.output_jack_free(names)
	var inputs []string
	for p := names; *p != nil; p = (**C.char)(unsafe.Add(unsafe.Pointer(p), unsafe.Sizeof(*p))) {
		inputs = append(inputs, C.GoString(*p))
	}
	return inputs
}

// jackLatency is the way from an input to the loudspeaker. A server that does not tell has one period at least.
func jackLatency(client *C.output_jack, input string, rateHz int) time.Duration {
	name := C.CString(input)
	defer C.free(unsafe.Pointer(name))
	frames := max(C.output_jack_latency(client, name), C.output_jack_block(client))
	return framesTime(int(frames), rateHz)
}

func framesTime(frames, rateHz int) time.Duration {
	return time.Duration(frames) * time.Second / time.Duration(rateHz)
}

// jackStream is a client that plays.
type jackStream struct {
	client *C.output_jack
	handle cgo.Handle
	render func(out []float32)
	block  []float32 // interleaved; the audio thread's own
}

func openJACK(device Device, settings OutputSettings, render func(out []float32)) (*Output, error) {
	client := openJACKClient()
	if client == nil {
		return nil, errors.New("the JACK server does not answer any more")
	}
	s := &jackStream{client: client, render: render, block: make([]float32, 2*largestJACKPeriod)}
	s.handle = cgo.NewHandle(s)
	output, err := s.start(device, settings)
	if err != nil {
		s.close()
		return nil, err
	}
	return output, nil
}

func (s *jackStream) start(device Device, settings OutputSettings) (*Output, error) {
	rate, block := int(C.output_jack_rate(s.client)), int(C.output_jack_block(s.client))
	if rate != settings.RateHz {
		return nil, &RateError{Device: device.String(), WantHz: settings.RateHz, DeviceHz: rate}
	}
	var inputs []string
	for _, input := range jackInputs(s.client) {
		if strings.HasPrefix(input, device.Name+":") {
			inputs = append(inputs, input)
		}
	}
	if len(inputs) < 2 {
		return nil, fmt.Errorf("%d of its inputs are left: expected two", len(inputs))
	}
	latency := jackLatency(s.client, inputs[0], rate)
	blocks := 0
	if settings.Safe {
		// What is asked for beyond JACK's own latency; at least two periods and two blocks, one to play and one to fill.
		frames := max(int(max(settings.Latency-latency, 0)*time.Duration(rate)/time.Second), 2*block)
		block = settings.BlockFrames
		blocks = max((frames+block-1)/block, 2)
		latency += framesTime(blocks*block, rate)
	}
	left, right := C.CString(inputs[0]), C.CString(inputs[1])
	defer C.free(unsafe.Pointer(left))
	defer C.free(unsafe.Pointer(right))
	step := C.output_jack_start(s.client, left, right, C.uint32_t(block), C.uint32_t(blocks), C.uintptr_t(s.handle))
	if step != 0 {
		return nil, fmt.Errorf("JACK refused step %d of 3 of starting to play", int(step))
	}
	return &Output{Device: device, RateHz: rate, BlockFrames: block, Latency: latency, stream: s}, nil
}

// outputJACKRender: the audio thread, JACK's own or the one that fills the ring.
//
//export outputJACKRender
func outputJACKRender(handle C.uintptr_t, left, right *C.float, frames C.uint32_t) {
	s := cgo.Handle(handle).Value().(*jackStream)
	s.play(unsafe.Slice((*float32)(left), int(frames)), unsafe.Slice((*float32)(right), int(frames)))
}

// play fills a period, which JACK wants as two channels. No allocation, lock or system call.
func (s *jackStream) play(left, right []float32) {
	for len(left) > 0 {
		count := min(len(left), largestJACKPeriod)
		block := s.block[:2*count]
		s.render(block)
		for i := range count {
			left[i], right[i] = block[2*i], block[2*i+1]
		}
		left, right = left[count:], right[count:]
	}
}

func (s *jackStream) counts() (calls, underruns int64) {
	return int64(C.output_jack_calls(s.client)), int64(C.output_jack_underruns(s.client))
}

// close: once the client is closed no callback runs. Should that hang, the handle stays good for a late one.
func (s *jackStream) close() error {
	closeJACKClient(s.client)
	s.handle.Delete()
	return nil
}
