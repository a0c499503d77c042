// Which series of partials explains a spectrum best.

package measure

import (
	"cmp"
	"math"
	"slices"
)

// series is a fundamental with its partials: partial k lies at hz·k·√((1+B·k²)/(1+B)), where B is the
// inharmonicity of a stiff string (Fletcher & Rossing, The Physics of Musical Instruments),
// 0 for wind and bowed instruments.
type series struct {
	hz        float64 // of the first partial
	stiffness float64 // B
	explained float64 // −1 to 1: how well the peaks fall on partials
	present   float64 // 0 to 1: how many of the foretold partials are there
	score     float64
}

const (
	seriesStepCents  = 8
	seriesFullTo     = 20   // higher partials count less and less
	stiffHighestHz   = 300  // above, so few partials are heard that stiffness cannot be told
	stiffnessPenalty = 0.07 // a stiff series must explain this much more than a plain one
	kernelBias       = 0.3  // peaks that fall on a series by chance count against it
	belowPartial     = 0.7  // a peak under this partial number lies below the series
	belowCost        = 0.2  // and is a knock, more likely than a partial
	partialNear      = 0.2  // a peak belongs to a partial when it is this near, in partial numbers
	presentPart      = 0.3  // a partial this weak against the next ones above is as good as there
	// share of odd partials, or of those not multiples of three, that speaks half for a series
	loneShare   = 0.015
	bassHz      = 80
	missingCost = 0.25 // a note an octave above bassHz seldom lacks its fundamental
	fitNear     = 0.15 // peaks this near to a partial move the series, in partial numbers
	fitNearPart = 0.05 // and in parts of the partial number
	fitLoss     = 0.1
	scoreFloor  = 0.1 // what even a perfect series leaves unexplained
)

// stiffnesses are those of piano and guitar strings, from memory: 0.0001 to 0.0005 in the lower half of a piano.
var stiffnesses = []float64{0, 0.3e-4, 0.6e-4, 0.9e-4, 1.25e-4, 1.6e-4, 2e-4, 2.5e-4, 3.2e-4, 4.5e-4, 7e-4}

// partialHz is the frequency of partial k.
func (s series) partialHz(k int) float64 {
	kk := float64(k)
	return s.hz * kk * math.Sqrt((1+s.stiffness*kk*kk)/(1+s.stiffness))
}

// number is which partial a frequency would be, not rounded.
func (s series) number(hz float64) float64 {
	r := hz / s.hz
	if s.stiffness == 0 {
		return r
	}
	b := s.stiffness
	return math.Sqrt((math.Sqrt(1+4*b*(1+b)*r*r) - 1) / (2 * b))
}

var cosineTurns = func() (table [1024]float64) {
	for i := range table {
		table[i] = max((math.Cos(2*math.Pi*(float64(i)+0.5)/1024)-kernelBias)/(1-kernelBias), -1)
	}
	return table
}()

// explain is the share of the peaks' weight that falls on partials, less what falls between them.
func (s series) explain(peaks []pitchPeak) float64 {
	sum, all := 0.0, 0.0
	for _, p := range peaks {
		all += p.weight
		k := s.number(p.hz)
		if k < belowPartial {
			sum -= belowCost * p.weight
			continue
		}
		c := cosineTurns[int((k-math.Floor(k))*1024)&1023]
		if k > seriesFullTo {
			c *= seriesFullTo / k
		}
		sum += p.weight * c
	}
	return sum / all
}

// partialsHeld is how many partials numbered knows, plus one.
const partialsHeld = 41

// numbered gives the weight at each partial number and the highest number met.
func (s series) numbered(peaks []pitchPeak) (weight [partialsHeld + 2]float64, last int) {
	for _, p := range peaks {
		k := s.number(p.hz)
		n := int(math.Round(k))
		if off := math.Abs(k - float64(n)); n >= 1 && n < partialsHeld && off <= partialNear {
			weight[n] = max(weight[n], p.weight*(1-2*off))
			last = max(last, n)
		}
	}
	return weight, last
}

// presence is how much of what the series foretells is there: below a partial there should be others. It is less for
// a series whose partials are all even or all multiples of three (the note is then the octave or the twelfth above),
// for one that leaves much of the sound out, and for one without its fundamental.
func (s series) presence(peaks []pitchPeak) float64 {
	weight, last := s.numbered(peaks)
	matched, total := 0.0, 1e-9
	for _, p := range peaks {
		k := s.number(p.hz)
		if k < belowPartial {
			total += belowCost * p.weight
			continue
		}
		total += p.weight
		if n := math.Round(k); n < partialsHeld && math.Abs(k-n) <= partialNear {
			matched += p.weight
		}
	}
	found, expected := 1e-9, 1e-9
	odd, notThird, all := 0.0, 0.0, 1e-9
	for n := 1; n <= last; n++ {
		e := max(weight[n], weight[n+1], weight[n+2])
		found += min(e, weight[n]/presentPart)
		expected += e
		all += weight[n]
		if n%2 != 0 {
			odd += weight[n]
		}
		if n%3 != 0 {
			notThird += weight[n]
		}
	}
	own := min(odd, notThird) / all
	present := found / expected * matched / total * own / (own + loneShare)
	if weight[1] == 0 {
		present *= 1 - missingCost*max(0, min(1, (s.hz-bassHz)/bassHz))
	}
	return present
}

// rateSeries gives the series that explain the peaks best, best first.
func rateSeries(peaks []pitchPeak) []series {
	step := math.Pow(2, seriesStepCents/1200.0)
	var rated []series
	previous, before := series{explained: -1}, -1.0
	topHz := float64(highestPitchHz)
	if lowest := lowestPeakHz(peaks); lowest > topHz { // a whistle, and no partial of anything lower
		topHz = pitchTopHz
	}
	for hz := lowestPitchHz * 0.99; hz < topHz*1.02; hz *= step {
		best := series{explained: -1}
		for i, b := range stiffnesses {
			if i > 0 && hz > stiffHighestHz {
				break
			}
			s := series{hz: hz, stiffness: b}
			s.explained = s.explain(peaks) - stiffnessPenalty*float64(min(i, 1))
			if s.explained > best.explained {
				best = s
			}
		}
		if previous.explained > before && previous.explained >= best.explained && previous.explained > -0.5 {
			rated = append(rated, previous)
		}
		before, previous = previous.explained, best
	}
	for i := range rated {
		rated[i] = rated[i].fitted(peaks)
		rated[i].present = rated[i].presence(peaks)
		e := rated[i].explained
		rated[i].score = (1 + e) / (1 + scoreFloor - e) * rated[i].present
	}
	slices.SortFunc(rated, func(p, q series) int { return cmp.Compare(q.score, p.score) })
	return rated
}

func lowestPeakHz(peaks []pitchPeak) float64 {
	lowest := math.Inf(1)
	for _, p := range peaks {
		lowest = min(lowest, p.hz)
	}
	return lowest
}

// fitted moves the series by a few cents, and between the steps of stiffnesses, so that its partials meet the peaks.
func (s series) fitted(peaks []pitchPeak) series {
	best := s.moved(peaks)
	if s.stiffness == 0 {
		return best
	}
	for _, by := range []float64{0.84, 0.89, 0.95, 1.05, 1.11, 1.17} {
		bent := s
		bent.stiffness *= by
		if bent = bent.moved(peaks); bent.explained > best.explained {
			best = bent
		}
	}
	return best
}

// moved is the series at the frequency that its low partials ask for, unless it then explains clearly less.
func (s series) moved(peaks []pitchPeak) series {
	sum, all := 0.0, 0.0
	for _, p := range peaks {
		k := s.number(p.hz)
		n := math.Round(k)
		if n < 1 || math.Abs(k-n) > min(fitNear, fitNearPart*n) {
			continue
		}
		w := p.weight * p.weight / n
		sum += w * p.hz / s.partialHz(int(n))
		all += w
	}
	if all == 0 {
		return s
	}
	moved := s
	moved.hz *= sum / all
	moved.explained = moved.explain(peaks)
	if s.stiffness > 0 {
		moved.explained -= stiffnessPenalty
	}
	if moved.explained < s.explained-fitLoss {
		return s
	}
	return moved
}
