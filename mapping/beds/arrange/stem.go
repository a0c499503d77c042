// A stem: all that one take contributes to a bed, before the takes are summed.

package arrange

import (
	"math"
	"slices"
)

// stem is stereo sound as long as its bed.
type stem struct{ left, right []float32 }

// controlFrames is the distance of the points between which gains run straight.
const controlFrames = 64

// addTo adds the stem at a gain.
func (s *stem) addTo(left, right []float32, gain float64) {
	g := float32(gain)
	right = right[:len(left)]
	sr := s.right[:len(s.left)]
	for i, l := range s.left {
		left[i] += g * l
		right[i] += g * sr[i]
	}
}

func (s *stem) scale(gain float64) {
	g := float32(gain)
	for i := range s.left {
		s.left[i] *= g
	}
	for i := range s.right {
		s.right[i] *= g
	}
}

// channels are the two, or the one of a take whose sides are the same slice.
func (s stem) channels() [][]float32 {
	if alike(s.left, s.right) {
		return [][]float32{s.left}
	}
	return [][]float32{s.left, s.right}
}

// alike tells whether two channels are the same slice.
func alike(left, right []float32) bool {
	return len(left) == len(right) && (len(left) == 0 || &left[0] == &right[0])
}

// placing holds the four gains that put a take at a place. The middle goes there by constant power (−3.01 dB a side
// at the centre); what the take has of width stays, less towards the edges, so that a take that was recorded on one
// side alone never comes out of the other with its sign turned.
type placing struct{ leftOfLeft, leftOfRight, rightOfLeft, rightOfRight float32 }

func placeAt(place, gain float64) placing {
	sin, cos := math.Sincos((place + 1) * math.Pi / 4)
	width := (1 - math.Abs(place)) * math.Sqrt2 / 4
	return placing{
		float32(gain * (cos/2 + width)), float32(gain * (cos/2 - width)),
		float32(gain * (sin/2 - width)), float32(gain * (sin/2 + width)),
	}
}

// place adds take from frame `at` of the stem on, as far as it fits, under gains given at every controlFrames of the
// stem; nil leaves them out.
func (s *stem) place(take stem, at int, p placing, gains []float32) {
	from, to := max(0, -at), min(len(take.left), len(s.left)-at)
	for i := from; i < to; {
		first, end := float32(1), to
		slope := float32(0)
		if gains != nil {
			cell := (at + i) / controlFrames
			end = min(to, (cell+1)*controlFrames-at)
			slope = (gains[cell+1] - gains[cell]) / controlFrames
			first = gains[cell] + slope*float32(at+i-cell*controlFrames)
		}
		tl, tr := take.left[i:end], take.right[i:end]
		sl, sr := s.left[at+i:][:len(tl)], s.right[at+i:][:len(tl)]
		tr = tr[:len(tl)]
		for k, l := range tl {
			l, r := l*first, tr[k]*first
			sl[k] += p.leftOfLeft*l + p.leftOfRight*r
			sr[k] += p.rightOfLeft*l + p.rightOfRight*r
			first += slope
		}
		i = end
	}
}

// under brings the stem under gains given at every controlFrames.
func (s *stem) under(gains []float32) {
	for cell := 0; cell*controlFrames < len(s.left); cell++ {
		from, to := cell*controlFrames, min((cell+1)*controlFrames, len(s.left))
		g, slope := gains[cell], (gains[cell+1]-gains[cell])/controlFrames
		for i := from; i < to; i++ {
			s.left[i] *= g
			s.right[i] *= g
			g += slope
		}
	}
}

// points returns how many gains a bed of that many frames has.
func points(frames int) int { return (frames-1)/controlFrames + 2 }

func (s *stem) resize(frames int) {
	s.left, s.right = slices.Grow(s.left[:0], frames)[:frames], slices.Grow(s.right[:0], frames)[:frames]
}

func (s *stem) clear() {
	clear(s.left)
	clear(s.right)
}
