// The finished level of a bed: steady, at its target, under its ceiling, whole in mono.

package arrange

import (
	"math"

	"lapstrake/mapping/project"
	"lapstrake/mapping/sound"
)

const (
	rideSec     = 1.5  // the gain that steadies a bed moves over about so long
	rideMostDB  = 15.0 // and so far, either way
	rideRounds  = 8
	hopSec      = 0.1  // the meter's values come so often
	monoMostDB  = 2.7  // what the mono sum may lose before the sides are brought in
	levelTries  = 10   // limiting takes loudness away, giving it back makes peaks
	closeDB     = 0.05 // so much of a peak is taken from the whole bed
	ceilingSafe = 0.05 // dB kept from the ceiling: a limiter's gain moves between the points where it was measured
)

// finish brings the sum of the stems to its level and fills in the figures. Where limiting and loudness cannot both be
// had (a bed of bare clicks), the ceiling holds and the bed stays softer.
func (a *Arranged) finish(s project.ArrangeSettings, rateHz int) {
	a.narrow()
	a.ride(s.SteadyLU, rateHz)
	limit := sound.DBToAmplitude(s.CeilingDBTP - ceilingSafe)
	whole := stem{a.Left, a.Right}
	threshold := limit // for samples, under which true peaks stay below the limit
	for try := range levelTries {
		m := a.meter(rateHz)
		gapDB := s.TargetLUFS - loudness(m)
		if math.IsNaN(gapDB) || math.IsInf(gapDB, 0) {
			gapDB = 0
		}
		whole.scale(sound.DBToAmplitude(gapDB))
		peak := a.peak(limit)
		excessDB := sound.PowerDB(peak * peak / limit / limit)
		if excessDB > 0 && (try == levelTries-1 || try > 0 && excessDB < closeDB) {
			whole.scale(limit / peak)
			gapDB -= excessDB
			peak = limit
		}
		if peak <= limit {
			a.figures(m, gapDB, peak)
			return
		}
		threshold *= limit / peak
		if try == 0 {
			threshold = limit * min(float64(highest(a.Left, a.Right))/peak, 1)
		}
		limitPeaks(a.Left, a.Right, threshold, backSec, rateHz)
	}
}

func (a *Arranged) meter(rateHz int) *sound.Meter {
	m := sound.NewMeter(rateHz, sound.StereoWeights)
	m.Add(a.Left, a.Right)
	return m
}

// peak returns the true peak, or, far below a limit, the highest sample: the standard's filter amplifies by no more
// than 2.03.
func (a *Arranged) peak(limit float64) float64 {
	if sample := float64(highest(a.Left, a.Right)); sample < limit/2.05 {
		return sample
	}
	return max(sound.TruePeak(a.Left), sound.TruePeak(a.Right))
}

// loudness is the integrated one, or the plain K-weighted level of what is too short for it.
func loudness(m *sound.Meter) float64 {
	if lufs := m.IntegratedLUFS(); !math.IsNaN(lufs) {
		return lufs
	}
	return m.LevelLUFS()
}

// figures fills in what a meter found before the last gain.
func (a *Arranged) figures(m *sound.Meter, gainDB, peak float64) {
	a.TruePeakDBTP = sound.PowerDB(peak * peak)
	a.LoudnessLUFS = loudness(m) + gainDB
	a.ShortTermMinLU, a.ShortTermMaxLU = math.NaN(), math.NaN()
	for k, lufs := range m.ShortTermLUFS() {
		lu := lufs + gainDB - a.LoudnessLUFS
		if k == 0 {
			a.ShortTermMinLU, a.ShortTermMaxLU = lu, lu
		}
		a.ShortTermMinLU, a.ShortTermMaxLU = min(a.ShortTermMinLU, lu), max(a.ShortTermMaxLU, lu)
	}
	middle, side := a.middleAndSide()
	a.MonoLossDB = sound.PowerDB((middle + side) / middle)
}

// middleAndSide returns the powers of (left ± right)/√2, whose sum is that of both channels.
func (a *Arranged) middleAndSide() (middle, side float64) {
	for i, l := range a.Left {
		m, s := float64(l)+float64(a.Right[i]), float64(l)-float64(a.Right[i])
		middle += m * m / 2
		side += s * s / 2
	}
	return middle, side
}

// narrow brings the sides in as far as the mono sum needs.
func (a *Arranged) narrow() {
	middle, side := a.middleAndSide()
	most := middle * (sound.DBToPower(monoMostDB) - 1)
	if side <= most || side == 0 {
		return
	}
	k := float32(math.Sqrt(most / side))
	for i, l := range a.Left {
		m, s := (l+a.Right[i])/2, k*(l-a.Right[i])/2
		a.Left[i], a.Right[i] = m+s, m-s
	}
}

// ride moves a slow gain so that the level over 3 s stays within steadyLU of the mean, either way, and no further than
// it must: strokes keep their shape.
func (a *Arranged) ride(steadyLU float64, rateHz int) {
	momentary := a.meter(rateHz).MomentaryLUFS()
	if len(momentary) == 0 {
		return
	}
	powers := make([]float64, len(momentary))
	for k, lufs := range momentary {
		powers[k] = sound.DBToPower(lufs)
	}
	gains := rideGains(powers, steadyLU)
	moved := false
	for k, g := range gains {
		moved = moved || g != 1
		gains[k] = math.Sqrt(g)
	}
	if !moved {
		return
	}
	// A momentary value stands for the middle of its 400 ms.
	for from := 0; from < len(a.Left); from += controlFrames {
		to := min(from+controlFrames, len(a.Left))
		g := float32(valueAt(gains, float64(from)/float64(rateHz)/hopSec-2))
		slope := (float32(valueAt(gains, float64(to)/float64(rateHz)/hopSec-2)) - g) / float32(to-from)
		for i := from; i < to; i++ {
			a.Left[i] *= g
			a.Right[i] *= g
			g += slope
		}
	}
}

// valueAt reads between values, straight; before the first and after the last they go on.
func valueAt(values []float64, x float64) float64 {
	k := min(max(int(x), 0), len(values)-1)
	next := min(k+1, len(values)-1)
	share := min(max(x-float64(k), 0), 1)
	return values[k] + share*(values[next]-values[k])
}

// rideGains returns the gains (of power) that steady powers given every hopSec. A curve that smoothes cannot cancel
// all at once, so it is found in rounds.
func rideGains(powers []float64, steadyLU float64) []float64 {
	gains := make([]float64, len(powers))
	for k := range gains {
		gains[k] = 1
	}
	now := append([]float64(nil), powers...)
	most := sound.DBToPower(rideMostDB)
	for range rideRounds {
		mean := gatedMean(now)
		if mean <= 0 || spreadLU(now, mean) <= 0.6*steadyLU {
			break
		}
		reach := int(rideSec / hopSec)
		for k := range gains {
			var sum, weights float64
			for j := max(0, k-reach); j <= min(len(now)-1, k+reach); j++ {
				w := 1 + math.Cos(math.Pi*float64(j-k)/float64(reach+1))
				sum += w * now[j]
				weights += w
			}
			gains[k] = min(max(gains[k]*mean*weights/(sum+1e-30), 1/most), most)
		}
		for k, g := range gains {
			now[k] = powers[k] * g
		}
	}
	return gains
}

// gatedMean leaves out what is more than 10 LU below the mean of all, as integrated loudness does.
func gatedMean(powers []float64) float64 {
	mean := 0.0
	for _, p := range powers {
		mean += p / float64(len(powers))
	}
	sum, n := 0.0, 0.0
	for _, p := range powers {
		if p > mean/10 {
			sum += p
			n++
		}
	}
	return sum / max(n, 1)
}

// spreadLU is how far the level over 3 s strays from the mean.
func spreadLU(powers []float64, mean float64) float64 {
	window := min(27, len(powers)) // 27 steps between the first and last of blocks of 400 ms within 3 s
	sum, worst := 0.0, 0.0
	for k, p := range powers {
		sum += p
		if k >= window {
			sum -= powers[k-window]
		}
		if k >= window-1 {
			worst = max(worst, math.Abs(sound.PowerDB(sum/float64(window)/mean)))
		}
	}
	return worst
}

// highest is the highest sample of both channels.
func highest(left, right []float32) float32 { return max(sound.Peak(left), sound.Peak(right)) }
