package stream_test

import (
	"fmt"

	"lapstrake/engine/stream"
)

// steady is a bed of 15 frames, each of one level.
type steady float32

func (s steady) Name() string  { return "steady" }
func (s steady) Frames() int64 { return 15 }
func (s steady) Mono() bool    { return true }
func (s steady) RateHz() int   { return 48000 }
func (s steady) ReadStereo(dst []float32, posFrames int64) error {
	for i := range dst {
		dst[i] = float32(s)
	}
	return nil
}

// Two beds of 15 frames that overlap by 1 frame at both joins come round after 28. Any frame may be asked for.
func ExampleCycle() {
	cycle, err := stream.NewCycle([]stream.Bed{steady(0.25), steady(0.75)}, 48000, 1, 0)
	if err != nil {
		fmt.Println(err)
		return
	}
	frame := make([]float32, 2)
	for _, pos := range []int64{0, 14, 28_000_000} {
		cycle.ReadFrames(frame, pos)
		fmt.Println(cycle.Frames, pos, frame[0])
	}
	// Output:
	// 28 0 0.25
	// 28 14 0.75
	// 28 28000000 0.25
}
