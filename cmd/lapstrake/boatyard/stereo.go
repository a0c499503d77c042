// Two channels side by side, and how a take is laid into them.
package boatyard

import "math"

// stereo holds both channels, equally long.
type stereo struct{ left, right []float64 }

func newStereo(frames int) *stereo {
	return &stereo{make([]float64, frames), make([]float64, frames)}
}

// placed turns an interleaved take into two channels with its middle at place, between left (−1) and right (1), by
// constant-power pan; what it has of width of its own stays, at half.
func placed(take []float32, place float64) *stereo {
	s := newStereo(len(take) / 2)
	sin, cos := math.Sincos((place + 1) * math.Pi / 4)
	for i := range s.left {
		l, r := float64(take[2*i]), float64(take[2*i+1])
		middle, width := (l+r)/math.Sqrt2, (l-r)/4
		s.left[i] = cos*middle + width
		s.right[i] = sin*middle - width
	}
	return s
}

func (s *stereo) gain(g float64) {
	for i := range s.left {
		s.left[i] *= g
		s.right[i] *= g
	}
}

// add lays t into s from frame `at` on, at gain g, as far as it fits.
func (s *stereo) add(t *stereo, at int, g float64) {
	for i := max(0, -at); i < len(t.left) && at+i < len(s.left); i++ {
		s.left[at+i] += g * t.left[i]
		s.right[at+i] += g * t.right[i]
	}
}

// fade brings the first `in` frames up and the last `out` frames down by equal-power quarter waves; 0 leaves that
// end as it is.
func (s *stereo) fade(in, out int) {
	frames := len(s.left)
	for i := range min(in, frames) {
		g := math.Sin(math.Pi / 2 * (float64(i) + 0.5) / float64(in))
		s.left[i] *= g
		s.right[i] *= g
	}
	for i := range min(out, frames) {
		g := math.Sin(math.Pi / 2 * (float64(i) + 0.5) / float64(out))
		s.left[frames-1-i] *= g
		s.right[frames-1-i] *= g
	}
}
