// Mixing down, by the published equations.

package decode

import (
	"math"
	"testing"
)

// ITU-R BS.775-3, annex 4, table 2: of a 3/2 source, L' = L + 0.7071·C + 0.7071·Ls and R' likewise. The channels of
// the others are those of RFC 9639, 9.1.3.
func TestStereoMix(t *testing.T) {
	const h = 0.7071
	for _, c := range []struct{ left, right []float64 }{
		{[]float64{1}, []float64{1}},
		{[]float64{1, 0}, []float64{0, 1}},
		{[]float64{1, 0, h}, []float64{0, 1, h}},
		{[]float64{1, 0, h, 0}, []float64{0, 1, 0, h}},
		{[]float64{1, 0, h, h, 0}, []float64{0, 1, h, 0, h}},
		{[]float64{1, 0, h, 0, h, 0}, []float64{0, 1, h, 0, 0, h}},
		{[]float64{1, 0, h, 0, 0.5, h, 0}, []float64{0, 1, h, 0, 0.5, 0, h}},
		{[]float64{1, 0, h, 0, h, 0, h, 0}, []float64{0, 1, h, 0, 0, h, 0, h}},
	} {
		n := len(c.left)
		s := &Sound{RateHz: 48000, Channels: newChannels(n, int64(n))} // in frame i only channel i sounds
		for i := range n {
			s.Channels[i][i] = 1
		}
		left, right := s.Stereo()
		mono := s.Mono()
		for i := range n {
			wantLeft, wantRight := c.left[i], c.right[i]
			if math.Abs(float64(left[i])-wantLeft) > 1e-4 || math.Abs(float64(right[i])-wantRight) > 1e-4 {
				t.Errorf("%d channels: channel %d goes %v left, %v right; want %v, %v", n, i, left[i], right[i],
					wantLeft, wantRight)
			}
			if math.Abs(float64(mono[i])-1/float64(n)) > 1e-6 {
				t.Errorf("%d channels: channel %d is %v of the mean", n, i, mono[i])
			}
		}
	}
}

func TestSoundOfNothing(t *testing.T) {
	if s := (&Sound{RateHz: 48000}); s.Frames() != 0 || s.Seconds() != 0 {
		t.Errorf("%d frames, %v s", s.Frames(), s.Seconds())
	}
}
