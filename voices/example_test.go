package voices_test

import (
	"fmt"

	"lapstrake/voices"
)

// A recording is played an octave lower: eight frames of output pass over four of it.
func ExampleMixer_Mix() {
	mixer, err := voices.NewMixer(voices.Standard, voices.Fastest, 1)
	if err != nil {
		fmt.Println(err)
		return
	}
	recording := make([]float32, 2*64)
	for i := range recording {
		recording[i] = 0.5
	}
	before, _ := mixer.Reach()
	const octaveDown = 1 << 31
	begin := uint64(before) << 32
	out := make([]float32, 2*8)
	end, _ := mixer.Mix(out, recording, begin, octaveDown, 0, 1, 1)
	fmt.Printf("%.2f, %d frames on\n", out[0], (end-begin)>>32)
	// Output: 0.50, 4 frames on
}

// A note rises in 4 frames and is let go.
func ExampleEnvelope() {
	e := voices.Envelope{AttackFrames: 4, ReleaseFrames: 30}
	e.Begin()
	fmt.Printf("%.2f %.2f ", e.Advance(2), e.Advance(2))
	e.Release()
	fmt.Printf("%.3f\n", e.Advance(30)) // 60 dB down
	// Output: 0.50 1.00 0.001
}
