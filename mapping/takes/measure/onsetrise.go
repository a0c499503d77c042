// Where a slow onset begins that noise hides: the rise that is seen above the noise is followed down under it.

package measure

import (
	"math"

	"lapstrake/mapping/sound"
)

const (
	riseHopSec      = 0.0025
	riseReachSec    = 0.3  // before the block that is certain, or the edge that is heard: how far a rise is looked for
	riseInsideSec   = 0.05 // behind that block
	riseNoiseSec    = 0.08 // of noise before the edge that the fit sees
	riseSpread      = 0.35 // relative spread of the power of a sound that rises
	riseTopSpreads  = 40   // the fit ends where the rise is so many standard deviations above the noise
	riseLearnings   = 4    // times that the spectrum is learnt again, nearer to the beginning
	riseMovesSec    = 0.005
	riseLevelSteps  = 12 // that the level is tried at to both sides of the one that is seen
	riseLevelStepDB = 1.0 / 3
	riseLowest      = 2 // standard deviations of the noise that hide the level at which a sound begins
)

// risePowers are of the time since the onset: the courses of amplitude that are tried, from one that slows down to one
// that gains speed.
var risePowers = []float64{0.5, 1, 1.5, 2}

// riseSearch looks through longer windows than onsetSearch: they hear deeper into the noise. Its floor is lower, for
// what is seen of a rise says how high it will be, not how it slows down on the way.
var riseSearch = edgeSearch{windowSec: 0.0213, gapSec: 0.040, floorDB: 47, spread: 4.5, direction: -1}

// rise is how the power of a sound grows around its onset, as a matched filter sees it: 1 is that just inside the
// block in which the sound certainly is.
type rise struct {
	power       []float64
	firstFrame  int // that the first power is measured around
	hopFrames   int
	edge        int     // place of the first power that stands out of the noise
	noise       float64 // standard deviation of the power of noise alone
	floor       float64 // power at which a sound without noise begins
	windowSteps int     // length of a window, odd
}

func (r *rise) steps(sec float64, rateHz int) int {
	return int(sec * float64(rateHz) / float64(r.hopFrames))
}

func (r *rise) frame(place float64) int { return r.firstFrame + int(place*float64(r.hopFrames)) }

// beforeNoise gives the frame at which a sound begins whose edge is heard in noise: the noise hides the beginning of a
// slow rise. The power over that of the noise is found with a matched filter, whose spectrum is learnt again ever
// nearer to the beginning. To it rises of several courses are fitted, by maximum likelihood; where the likeliest
// begins, or comes within the floor, is the onset. A rise that no noise hides begins where it is heard.
func (e edgeSearch) beforeNoise(samples []float32, rateHz int, b *blocks, sure, heard int) int {
	analyser := sound.BorrowSpectrum(sound.PowerOfTwo(e.windowSec, rateHz))
	defer analyser.GiveBack()
	r := e.rise(samples, rateHz, b, sure, heard, analyser)
	if r == nil || riseLowest*r.noise <= r.floor {
		return heard
	}
	for range riseLearnings {
		inside := r.frame(float64(r.edge))/b.lengthFrames + 2
		if inside >= sure-2 || inside < 0 {
			break
		}
		next := e.rise(samples, rateHz, b, inside, r.frame(float64(r.edge)), analyser)
		if next == nil || next.frame(float64(next.edge)) >= r.frame(float64(r.edge))-int(
			riseMovesSec*float64(rateHz)) {
			break
		}
		r, sure = next, inside
	}
	return min(max(0, r.frame(r.fit(rateHz))), heard)
}

// rise measures it around a block in which the sound certainly is, from riseReachSec before the frame where it is
// heard; nil when that is too short.
func (e edgeSearch) rise(samples []float32, rateHz int, b *blocks, sure, heard int, analyser *sound.Spectrum) *rise {
	learnt := e.learn(samples, rateHz, b, sure, analyser)
	r := &rise{hopFrames: max(1, int(math.Round(riseHopSec*float64(rateHz))))}
	r.noise, r.floor, r.windowSteps = learnt.noiseSpread, learnt.quietest, analyser.SizeFrames/r.hopFrames|1
	at := sure*b.lengthFrames + b.lengthFrames/2
	before := (at-min(at, heard))/r.hopFrames + r.steps(riseReachSec, rateHz)
	before = min(before, (at+analyser.SizeFrames/4)/r.hopFrames)
	r.firstFrame = at - before*r.hopFrames
	for place := 0; place <= before+r.steps(riseInsideSec, rateHz) && r.frame(float64(place)) < len(samples); place++ {
		matched, _ := learnt.sums(analyser.At(samples, r.frame(float64(place))))
		r.power = append(r.power, matched)
	}
	if len(r.power) <= before || before < 1 {
		return nil
	}
	r.edge = before
	for place := before; place >= 0 && r.edge-place <= r.steps(e.gapSec, rateHz); place-- {
		if r.power[place] > max(r.floor, e.spread*r.noise) {
			r.edge = place
		}
	}
	return r
}

// fit gives the place, in steps, at which the rise begins that makes the measured powers most likely.
func (r *rise) fit(rateHz int) (begins float64) {
	first := max(0, r.edge-r.steps(riseNoiseSec, rateHz))
	last := r.edge
	for last < len(r.power)-1 && r.power[last] < riseTopSpreads*r.noise {
		last++
	}
	last = max(last, min(r.edge+r.windowSteps, len(r.power)-1))
	reach, half := r.steps(riseReachSec, rateHz), r.windowSteps/2
	begins = float64(r.edge)
	best := math.Inf(1)
	for _, power := range risePowers {
		shape := r.shape(power, last-first+reach+half+1)
		for begin := first - reach; begin < last; begin++ {
			seen := shape[max(0, first-begin+half) : last-begin+half+1]
			for step := -riseLevelSteps; step <= riseLevelSteps; step++ {
				square := r.power[last] / seen[len(seen)-1] * sound.DBToPower(riseLevelStepDB*float64(step))
				if cost := r.unlikeliness(r.power[first:last+1], seen, square, best); cost < best {
					best = cost
					begins = float64(begin) + math.Floor(math.Pow(r.floor/square, 0.5/power))
				}
			}
		}
	}
	return begins
}

// unlikeliness is twice the negative logarithm of the likelihood of powers, but for a constant, if they were a shape
// that reaches as far as they do, times so much, in noise; no less than enough when it is that much.
func (r *rise) unlikeliness(powers, shape []float64, times, enough float64) (cost float64) {
	before := len(powers) - len(shape) // in which there is noise alone
	for i, power := range powers {
		model := 0.0
		if i >= before {
			model = times * shape[i-before]
		}
		spread := (r.noise*r.noise + 2*r.noise*model + riseSpread*riseSpread*model*model) / (r.noise * r.noise)
		off := (power - model) / r.noise
		if cost += off*off/spread + math.Log(spread); cost >= enough {
			return cost
		}
	}
	return cost
}

// shape is the power that a window sees, step by step, of an amplitude that is a power of the steps since the onset;
// for the first step the middle of the window lies half its length before the onset.
func (r *rise) shape(power float64, length int) []float64 {
	window := make([]float64, r.windowSteps)
	for i := range window {
		hann := 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/float64(len(window)))
		window[i] = hann * hann
	}
	scale(window, 1/sumOf(window))
	shape := make([]float64, length+1)
	for i := range shape {
		for k, w := range window {
			shape[i] += w * math.Pow(float64(max(0, i+k-2*(len(window)/2))), 2*power)
		}
	}
	return shape
}
