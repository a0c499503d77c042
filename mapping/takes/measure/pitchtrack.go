// The pitch of a known note over time, from the advance of the phase of its low partials.

package measure

import (
	"cmp"
	"math"
	"math/cmplx"
	"slices"

	"lapstrake/mapping/sound"
)

// pitchTrack is what follow finds.
type pitchTrack struct {
	hz         float64 // the median of the fundamental
	driftCents float64 // 10th to 90th percentile
	steady     float64 // share of the sound's power, 0 to 1, during which the note was there
}

const (
	trackMaxPoints = 120
	trackPartials  = 16
	trackMinSec    = 0.046
	trackMinBins   = 5   // partials are at least this many bins apart in the window
	trackCents     = 150 // how far from the averaged pitch the note is looked for
)

// follow takes the pitch at up to trackMaxPoints places of the part.
func (a *pitchAnalyser) follow(x []float64, part pitchPart, s series) pitchTrack {
	size := 1 << int(math.Round(math.Log2(trackMinSec*a.rateHz)))
	for size < a.sizeFrames && s.hz*float64(size)/a.rateHz < trackMinBins {
		size *= 2
	}
	y := x[part.begin:part.end]
	hop := size / 4
	n := min(size, len(y)-min(hop, len(y)/4))
	hop = min(hop, len(y)-n)
	points := min(max((len(y)-n-hop)/(n/2)+1, 1), trackMaxPoints)
	one, two := make([]complex128, size/2+1), make([]complex128, size/2+1)
	var values, weights []float64
	all, there := 1e-30, 0.0
	for p := range points {
		at := 0
		if points > 1 {
			at = p * (len(y) - n - hop) / (points - 1)
		}
		level := 0.0
		for _, v := range y[at : at+n] {
			level += v * v
		}
		level = math.Sqrt(level)
		all += level
		a.transform(y[at:at+n], size, one)
		a.transform(y[at+hop:at+hop+n], size, two)
		hz, share := a.pitchAt(one, two, size, hop, s)
		if math.IsNaN(hz) {
			continue
		}
		there += level * share
		values = append(values, hz)
		weights = append(weights, level*math.Sqrt(share))
	}
	if len(values) == 0 {
		return pitchTrack{hz: s.hz, driftCents: math.NaN()}
	}
	lo, hi := weightedQuantile(values, weights, 0.1), weightedQuantile(values, weights, 0.9)
	return pitchTrack{hz: weightedQuantile(values, weights, 0.5), driftCents: 1200 * math.Log2(hi/lo),
		steady: there / all}
}

// pitchAt is the fundamental between two windows that are hop frames apart, and the share of the power in the
// partials looked at.
func (a *pitchAnalyser) pitchAt(one, two []complex128, size, hop int, s series) (hz, share float64) {
	binHz := a.rateHz / float64(size)
	total := 1e-30
	top := min(len(one)-2, int(pitchTopHz/binHz))
	for i := int(pitchFloorHz / binHz); i < top; i++ {
		total += sound.PowerOf(one[i])
	}
	shift := a.shiftCents(one, binHz, s)
	in := 0.0
	var values, weights []float64
	for k := 1; k <= trackPartials; k++ {
		near := s.partialHz(k) * math.Pow(2, shift/1200)
		i := highestNear(one, near/binHz, max(1.5, near/binHz*0.02))
		if i < 2 || i >= top {
			continue
		}
		lobe := 0.0
		for _, c := range one[max(i-3, 0):min(i+4, len(one))] {
			lobe += sound.PowerOf(c)
		}
		in += lobe
		if sound.PowerOf(one[i]) < sound.PowerOf(one[i-1]) || sound.PowerOf(one[i]) < sound.PowerOf(one[i+1]) {
			continue
		}
		guess := (float64(i) + sound.PeakOffset(sound.PowerOf(one[i-1]), sound.PowerOf(one[i]),
			sound.PowerOf(one[i+1])))
		f := guess * binHz
		if hop > 0 {
			// The phase advances by 2π·f·hop/rate: what the guess says, plus the small difference.
			turns := cmplx.Phase(two[i]*cmplx.Conj(one[i])) / (2 * math.Pi)
			expected := f * float64(hop) / a.rateHz
			f = (expected + wrapTurns(turns-expected)) * a.rateHz / float64(hop)
		}
		values = append(values, f*s.hz/s.partialHz(k))
		weights = append(weights, cmplx.Abs(one[i])/math.Sqrt(float64(k)))
	}
	if len(values) == 0 {
		return math.NaN(), 0
	}
	return weightedQuantile(values, weights, 0.5), min(in/total, 1)
}

// shiftCents is by how many cents the series has moved, in steps of 10.
func (a *pitchAnalyser) shiftCents(bins []complex128, binHz float64, s series) float64 {
	best, at := -1.0, 0.0
	for cents := -trackCents; cents <= trackCents; cents += 10 {
		move := math.Pow(2, float64(cents)/1200)
		sum := 0.0
		for k := 1; k <= trackPartials; k++ {
			pos := s.partialHz(k) * move / binHz
			i := int(pos)
			if i+1 >= len(bins) {
				break
			}
			part := pos - float64(i)
			sum += (1-part)*math.Sqrt(cmplx.Abs(bins[i])) + part*math.Sqrt(cmplx.Abs(bins[i+1]))
		}
		if sum > best {
			best, at = sum, float64(cents)
		}
	}
	return at
}

func highestNear(bins []complex128, pos, reach float64) int {
	best := -1
	for i := max(int(math.Ceil(pos-reach)), 0); i <= int(pos+reach) && i < len(bins); i++ {
		if best < 0 || sound.PowerOf(bins[i]) > sound.PowerOf(bins[best]) {
			best = i
		}
	}
	return best
}

func wrapTurns(t float64) float64 { return t - math.Round(t) }

// weightedQuantile gives the value below which the share at of the weight lies.
func weightedQuantile(values, weights []float64, at float64) float64 {
	order := make([]int, len(values))
	all := 0.0
	for i := range order {
		order[i] = i
		all += weights[i]
	}
	slices.SortFunc(order, func(i, j int) int { return cmp.Compare(values[i], values[j]) })
	sum := 0.0
	for _, i := range order {
		sum += weights[i]
		if sum >= at*all {
			return values[i]
		}
	}
	return values[order[len(order)-1]]
}
