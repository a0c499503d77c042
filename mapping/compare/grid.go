// Levels by third octave and moment.

package compare

import (
	"math"
	"slices"

	"lapstrake/mapping/sound"
)

const (
	momentSec   = 0.25
	lowestBand  = -13 // 50 Hz
	highestBand = 12  // 16 kHz
	soundingDB  = 45  // A sounds at a moment, or in a band, down to so far below its highest
)

// BandHz is the middle of a third octave, counted from 1 kHz on (IEC 61260-1, base ten).
func BandHz(band int) float64 { return 1000 * math.Pow(10, float64(band)/10) }

// bandOf is the third octave of a frequency.
func bandOf(hz float64) int { return int(math.Round(10 * math.Log10(hz/1000))) }

// grid is the power of each side at each moment in each third octave.
type grid [2][][]float64

func gridOf(s Sound) (g grid) {
	size := sound.PowerOfTwo(momentSec, s.RateHz)
	p := sound.BorrowSpectrum(size)
	defer p.GiveBack()
	moments := int(float64(len(s.Channels[0])) / (momentSec * float64(s.RateHz)))
	for side, channel := range s.Channels {
		for m := range moments {
			powers := make([]float64, highestBand-lowestBand+1)
			for bin, power := range p.At(channel, int((float64(m)+0.5)*momentSec*float64(s.RateHz))) {
				if hz := float64(bin) * float64(s.RateHz) / float64(size); bin > 0 {
					if band := bandOf(hz) - lowestBand; band >= 0 && band < len(powers) {
						powers[band] += power
					}
				}
			}
			g[side] = append(g[side], powers)
		}
	}
	return g
}

// moment is the power of both sides at a moment.
func (g grid) moment(m int) (sum float64) {
	for side := range g {
		for _, power := range g[side][m] {
			sum += power
		}
	}
	return sum
}

// band is the mean power of both sides in a band.
func (g grid) band(band int) (sum float64) {
	for side := range g {
		for _, powers := range g[side] {
			sum += powers[band] / float64(len(g[side]))
		}
	}
	return sum
}

func (g grid) moments() int { return len(g[0]) }
func (g grid) bands() int   { return highestBand - lowestBand + 1 }

const leastPower = 1e-12

func dB(power float64) float64 { return sound.PowerDB(power + leastPower) }

// levels compares the levels over time and by band.
func (r *Report) levels(a, b grid, sections []Section) {
	most, diffs := 0.0, []float64{}
	for m := range a.moments() {
		most = max(most, a.moment(m))
	}
	for m := range a.moments() {
		if level := a.moment(m); dB(level) > dB(most)-soundingDB {
			r.Moments = append(r.Moments, Moment{momentSec * float64(m), dB(b.moment(m)) - dB(level)})
			diffs = append(diffs, r.Moments[len(r.Moments)-1].DiffDB)
		}
	}
	slices.Sort(diffs)
	r.LevelDB = diffs[len(diffs)/2]
	if layer, found := r.layerLevel(sections); found {
		r.LevelDB = layer
	}
	for i := range r.Moments {
		r.Moments[i].DiffDB -= r.LevelDB
	}
	most = 0
	for band := range a.bands() {
		most = max(most, a.band(band))
	}
	for band := range a.bands() {
		if level := a.band(band); dB(level) > dB(most)-soundingDB {
			hz := math.Round(10*BandHz(band+lowestBand)) / 10
			r.Bands = append(r.Bands, BandDiff{hz, dB(level), dB(b.band(band)) - dB(level) - r.LevelDB})
		}
	}
}

// sides compares which side leads, band by band and moment by moment.
func (r *Report) sides(a, b grid) {
	const apartDB = 1 // A's sides differ where their levels stray from each other by so much
	most := 0.0
	for m := range a.moments() {
		most = max(most, a.moment(m))
	}
	aa, bb, ab := 0.0, 0.0, 0.0
	count := 0
	for m := range a.moments() {
		for band := range a.bands() {
			if dB(a[0][m][band]+a[1][m][band]) < dB(most)-soundingDB+10 ||
				dB(b[0][m][band]+b[1][m][band]) < dB(most)-2*soundingDB {
				continue
			}
			da, db := dB(a[0][m][band])-dB(a[1][m][band]), dB(b[0][m][band])-dB(b[1][m][band])
			da, db = min(max(da, -20), 20), min(max(db, -20), 20)
			aa, bb, ab, count = aa+da*da, bb+db*db, ab+da*db, count+1
		}
	}
	if count == 0 || math.Sqrt(aa/float64(count)) < apartDB {
		return
	}
	agree := ab / math.Sqrt(aa*max(bb, aa*1e-6))
	r.SwappedBy = &agree
	switch {
	case math.Sqrt(bb/float64(count)) < apartDB/4.:
		r.add(OneSide, 0, "both sides are alike: it was played in mono")
	case agree < -0.5:
		r.add(Swapped, agree, "left and right are swapped")
	}
}
