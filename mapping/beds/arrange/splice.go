// Where to splice: the place in a take that is most like the place to be left.

package arrange

import (
	"math"
	"math/cmplx"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"
)

const (
	roughHz     = 6000 // rate at which a take is compared with itself first
	searchSec   = 0.1  // breadth of a search: three periods of the lowest root
	likeSec     = 0.07 // so long a stretch is compared, from the middle of the fade
	exactFrames = 1536 // of it at the full rate
	searches    = 5    // places that are searched
)

// splicer finds places in a take that fit one another.
type splicer struct {
	middle       []float32 // left and right together, at the full rate
	rough        []float32 // the same at about roughHz
	factor       int       // full rate over the rough one
	searchFrames int       // breadth of a search in frames
	likeFrames   int       // frames that are compared at the rough rate
	apartFrames  int       // how far to keep away from where copies are
	jumpFrames   int       // least distance of a jump

	fft      *fourier.FFT
	like     []complex128 // spectrum of the stretch that others are compared with
	other    []complex128 // spectrum of one of them
	padded   []float64    // a stretch with zeros behind it
	products []float64    // of the two stretches at every lag, not brought to scale
}

// learn takes in the stretch that will be spliced.
func (s *splicer) learn(take stem, rateHz int) {
	frames := len(take.left)
	s.factor = max(rateHz/roughHz, 1)
	s.searchFrames = int(searchSec * float64(rateHz))
	s.likeFrames = int(likeSec * float64(rateHz))
	s.jumpFrames = min(int(jumpSec*float64(rateHz)), frames/8)
	s.middle = slices.Grow(s.middle[:0], frames)[:frames]
	for i, l := range take.left {
		s.middle[i] = l + take.right[i]
	}
	s.rough = slices.Grow(s.rough[:0], frames/s.factor)[:frames/s.factor]
	for i := range s.rough {
		sum := float32(0)
		for _, v := range s.middle[i*s.factor:][:s.factor] {
			sum += v
		}
		s.rough[i] = sum
	}
}

// find returns the frame, no later than last, from which the take is most like what follows leaving, over fade frames,
// and their correlation there (0 to 1). It searches at places that chance chooses, far from leaving and from others.
func (s *splicer) find(leaving, fade, last int, others []int, c chance) (to int, rho float64) {
	like := min(fade, s.likeFrames)
	aside := (fade - like) / 2 // from where a fade begins to where it is compared
	s.compareWith(s.rough[(leaving+aside)/s.factor:][:like/s.factor])
	best, most := -1, math.Inf(-1)
	for range searches {
		from := c.below(last - s.searchFrames + 1)
		s.correlate(from+aside, like)
		at, r := s.within(from, min(from+s.searchFrames, last), like, aside, leaving, others)
		if at >= 0 && r > most {
			best, most = at, r
		}
	}
	if best < 0 { // nothing is far enough from everything: the farthest end
		if leaving < last/2 {
			best = max(last, 0)
		}
		best = max(best, 0)
	} else {
		best = s.refine(best, leaving, fade, last)
	}
	return best, min(max(s.correlation(leaving, best, fade), 0), 1)
}

// within searches from…until at the rough rate, by the products that correlate found; −1 when nothing there may be
// used.
func (s *splicer) within(from, until, like, aside, leaving int, others []int) (best int, most float64) {
	f := s.factor
	begin, length := (from+aside)/f, like/f
	lags := min((until-from)/f, len(s.rough)-begin-length)
	best, most = -1, math.Inf(-1)
	if lags < 1 || length < 1 {
		return best, most
	}
	power := 0.0
	for _, v := range s.rough[begin:][:length] {
		power += float64(v) * float64(v)
	}
	for k := range lags {
		if at := from + k*f; s.allowed(at, leaving, others) {
			if r := s.products[k] / math.Sqrt(max(power, 0)+1e-30); r > most {
				best, most = at, r
			}
		}
		gone, come := float64(s.rough[begin+k]), float64(s.rough[begin+k+length])
		power += come*come - gone*gone
	}
	return best, most
}

// refine looks around a rough place for the frame that fits best.
func (s *splicer) refine(rough, leaving, fade, last int) int {
	exact := min(fade, exactFrames)
	aside := (fade - exact) / 2
	best, most := rough, math.Inf(-1)
	for at := max(rough-s.factor, 0); at <= min(rough+s.factor, last); at++ {
		if r := s.correlation(leaving+aside, at+aside, exact); r > most {
			best, most = at, r
		}
	}
	return best
}

func (s *splicer) allowed(at, leaving int, others []int) bool {
	if at > leaving-s.jumpFrames && at < leaving+s.jumpFrames {
		return false
	}
	for _, o := range others {
		if at > o-s.apartFrames && at < o+s.apartFrames {
			return false
		}
	}
	return true
}

// compareWith takes in the stretch that others are compared with.
func (s *splicer) compareWith(short []float32) {
	n := 64
	for n < 2*len(short)+s.searchFrames/s.factor {
		n *= 2
	}
	if len(s.padded) != n {
		s.fft, s.padded, s.products = fourier.NewFFT(n), make([]float64, n), make([]float64, n)
		s.like, s.other = make([]complex128, n/2+1), make([]complex128, n/2+1)
	}
	s.transform(s.like, short)
}

// transform fills in the spectrum of a stretch with zeros behind it.
func (s *splicer) transform(spectrum []complex128, stretch []float32) {
	clear(s.padded)
	for i, v := range stretch {
		s.padded[i] = float64(v)
	}
	s.fft.Coefficients(spectrum, s.padded)
}

// correlate finds the products of that stretch with the one that begins at a frame of the take, at every lag.
func (s *splicer) correlate(frame, like int) {
	begin := min(frame/s.factor, len(s.rough))
	s.transform(s.other, s.rough[begin:min(frame/s.factor+(s.searchFrames+like)/s.factor, len(s.rough))])
	for i, l := range s.like {
		s.other[i] *= cmplx.Conj(l)
	}
	s.fft.Sequence(s.products, s.other)
}

// correlation is the normalised one of two stretches of the take; 0 when one of them is silent.
func (s *splicer) correlation(x, y, frames int) float64 {
	a, b := s.middle[x:][:frames], s.middle[y:][:frames]
	var xx, yy, xy float32
	for i, v := range a {
		w := b[i]
		xx += v * v
		yy += w * w
		xy += v * w
	}
	if xx == 0 || yy == 0 {
		return 0
	}
	return float64(xy) / math.Sqrt(float64(xx)*float64(yy))
}
