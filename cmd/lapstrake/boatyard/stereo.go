// Two channels side by side.

package boatyard

import "math"

// stereo holds both channels, equally long.
type stereo struct{ left, right []float64 }

// interleaved returns the frames as left, right, left, right …
func (s *stereo) interleaved() []float32 {
	out := make([]float32, 2*len(s.left))
	for i, l := range s.left {
		out[2*i] = float32(l)
		out[2*i+1] = float32(s.right[i])
	}
	return out
}

// part is the frames from…to of s, shared.
func (s *stereo) part(from, to int) *stereo {
	return &stereo{s.left[from:to], s.right[from:to]}
}

// fade brings the first `in` frames up and the last `out` frames down by equal-power quarter waves; 0 leaves that
// end as it is.
func (s *stereo) fade(in, out int) {
	frames := len(s.left)
	quarterWave(in, func(i int, g float64) {
		if i < frames {
			s.left[i] *= g
			s.right[i] *= g
		}
	})
	quarterWave(out, func(i int, g float64) {
		if i < frames {
			s.left[frames-1-i] *= g
			s.right[frames-1-i] *= g
		}
	})
}

// quarterWave gives sin(π/2·(i+½)/frames) for i from 0 on, by turning a pointer.
func quarterWave(frames int, use func(i int, g float64)) {
	if frames <= 0 {
		return
	}
	step := math.Pi / 2 / float64(frames)
	turnSin, turnCos := math.Sincos(step)
	sin, cos := math.Sincos(step / 2)
	for i := range frames {
		use(i, sin)
		sin, cos = sin*turnCos+cos*turnSin, cos*turnCos-sin*turnSin
	}
}
