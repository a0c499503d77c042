// Auditory bands of half an ERB, and what becomes of them when a sound is played at another pitch.

package hearing

import (
	"math"

	"lapstrake/mapping/sound"
)

const (
	// Bands is how many there are: from 26 Hz to 18.9 kHz.
	Bands = 80

	bandsPerERB = 2
	firstERB    = 1 // ERB-number at which the first band begins
)

// Excitation is the power in each band; full scale is 1 unless said otherwise.
type Excitation [Bands]float64

// BandHz is the middle of a band in Hz; band −0.5 gives the lower edge of the first.
func BandHz(band float64) float64 { return sound.ERBHz(firstERB + (band+0.5)/bandsPerERB) }

// bandOf is the band of a frequency; −1 outside of all.
func bandOf(hz float64) int {
	band := int(math.Floor((sound.ERBNumber(hz) - firstERB) * bandsPerERB))
	if band < 0 || band >= Bands {
		return -1
	}
	return band
}

// sum is the power of all bands.
func (e *Excitation) sum() (power float64) {
	for _, p := range e {
		power += p
	}
	return power
}

// moving tells how much of each band's power goes into which bands when a sound is played faster or slower.
type moving [Bands]struct {
	first  int // band
	shares []float64
}

// newMoving is that of a ratio of speeds. The power of a band counts as spread evenly over it; what leaves the bands
// is lost.
func newMoving(ratio float64) *moving {
	m := &moving{}
	place := func(edge int) float64 { // where the lower edge of a band goes, in bands
		hz := ratio * BandHz(float64(edge)-0.5)
		return (sound.ERBNumber(hz) - firstERB) * bandsPerERB
	}
	from := place(0)
	for i := range m {
		to := place(i + 1)
		first, last := int(math.Floor(from)), int(math.Ceil(to))-1
		m[i].first = max(first, 0)
		for band := m[i].first; band <= min(last, Bands-1); band++ {
			share := (min(to, float64(band+1)) - max(from, float64(band))) / (to - from)
			m[i].shares = append(m[i].shares, share)
		}
		from = to
	}
	return m
}

// Moved is the excitation of the sound when it is played faster or slower.
func (e *Excitation) Moved(ratio float64) *Excitation {
	moved := newMoving(ratio).of(e)
	return &moved
}

// Times is the excitation with all its powers multiplied.
func (e *Excitation) Times(power float64) *Excitation {
	more := *e
	for band := range more {
		more[band] *= power
	}
	return &more
}

// of is an excitation moved.
func (m *moving) of(e *Excitation) (moved Excitation) {
	for i, power := range e {
		if power == 0 {
			continue
		}
		for k, share := range m[i].shares {
			moved[m[i].first+k] += share * power
		}
	}
	return moved
}

// course is each block of a course moved.
func (m *moving) course(c *Course) []Excitation {
	all := make([]Excitation, c.Blocks())
	for block := range all {
		e := c.At(block)
		all[block] = m.of(&e)
	}
	return all
}
