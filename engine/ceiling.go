// The look-ahead ceiling: the mix never rises above a true-peak level, and is untouched below it.

package engine

import (
	"math"
	"sync/atomic"

	"lapstrake/mapping/sound"
)

const (
	ceilingAttackSec  = 0.0015
	ceilingReleaseSec = 0.2  // time constant: long enough that a low note's own waves do not move the gain
	ceilingRoom       = 4096 // frames written between two moves of the delayed ones

	maxSample = 1e30 // beyond it the filter's sums could overflow

	peakTaps = sound.TruePeakTaps
	unity    = 1 << 30 // the gain 1 in the fixed point that gains are averaged in
)

// peakPairs has, for two phases of the filter and each two taps that stand equally far from the middle, what the
// filter does to the sum and to the difference of the two samples under them. A phase gives sum+difference and its
// reverse sum−difference, so the larger of the two is |sum|+|difference|: four phases for the multiplications of two.
var peakPairs = pairPeakTaps()

type peakPair struct{ sum0, difference0, sum1, difference1 float32 }

func pairPeakTaps() (pairs [peakTaps / 2]peakPair) {
	phases := sound.TruePeakPhases()
	for k := range pairs {
		newer0, older0 := float32(phases[0][k]), float32(phases[0][peakTaps-1-k])
		newer1, older1 := float32(phases[1][k]), float32(phases[1][peakTaps-1-k])
		pairs[k] = peakPair{(newer0 + older0) / 2, (newer0 - older0) / 2, (newer1 + older1) / 2, (newer1 - older1) / 2}
	}
	return pairs
}

// Ceiling holds a stereo mix below a true-peak level. The gain that a peak needs is taken as a minimum
// over the look-ahead, let rise again exponentially, and averaged by two running means; every value that
// is averaged when the peak leaves is at most what the peak needs, so the gain is down in time, without a step.
// Gains are whole numbers of 2⁻³⁰, so that the running means never drift.
//
// A signal whose true peak, found as ITU-R BS.1770-5 finds it, stays at or below the ceiling comes
// out bit for bit, Latency frames later. Between the points of that measurement a peak can stand higher:
// measured eight times a frame, by less than 0.4 dB in sound that ends at 20 kHz of 48, and by up to 1.5 dB in noise
// that reaches to half the sampling rate, which the twelve taps cannot see.
type Ceiling struct {
	ceiling   float32 // as a sample value
	safe      float32 // samples up to here need no look between them
	latency   int
	release   float64 // the part of what is missing from 1 that comes back each frame
	frames    []float32
	written   int // frames in frames
	peakWatch int // frames until no loud sample is left in the filter

	needed    minimumWindow
	held      int64 // the gain needed, after hold and release
	means     [2]runningSum
	busy      int // frames until the gain has been 1 throughout the means
	perfect   int64
	toGain    float64
	leastGain atomic.Uint32 // since it was last taken, as the bits of a float32
	leastEver atomic.Uint32 // since the start, the same
}

// NewCeiling makes a ceiling at ceilingDBTP decibels (−1 is usual) for rateHz frames a second.
func NewCeiling(rateHz int, ceilingDBTP float64) *Ceiling {
	half := max(1, int(math.Round(ceilingAttackSec*float64(rateHz)/2)))
	// Two means of half and half+1 frames reach 2·half frames. The hold reaches further by the taps of the
	// filter: every frame that the measurement of a peak drew on then gets at most the gain it needs.
	hold := 2*half + peakTaps - 1
	c := &Ceiling{
		ceiling: float32(sound.DBToAmplitude(ceilingDBTP)),
		latency: hold - 1,
		release: -math.Expm1(-1 / (ceilingReleaseSec * float64(rateHz))),
		needed:  newMinimumWindow(hold),
		held:    unity,
		means:   [2]runningSum{newRunningSum(half, unity), newRunningSum(half+1, int64(half)*unity)},
		perfect: int64(half) * int64(half+1) * unity,
	}
	// A sample up to here cannot reach the ceiling between the samples either.
	c.safe = c.ceiling / sound.TruePeakMostGain
	c.toGain = 1 / float64(c.perfect)
	c.written = max(c.latency, peakTaps)
	c.frames = make([]float32, 2*(c.written+ceilingRoom))
	c.leastGain.Store(math.Float32bits(1))
	c.leastEver.Store(math.Float32bits(1))
	return c
}

// Latency is the constant delay in frames: the attack and the filter's 10, 82 at 48 kHz.
func (c *Ceiling) Latency() int { return c.latency }

// TakeReductionDB is the largest reduction since it was last taken, in decibels of 0 or more. One goroutine takes it.
func (c *Ceiling) TakeReductionDB() float64 {
	return reductionDB(c.leastGain.Swap(math.Float32bits(1)))
}

// MostReductionDB is the largest reduction since the start, in decibels of 0 or more. Any goroutine may ask.
func (c *Ceiling) MostReductionDB() float64 { return reductionDB(c.leastEver.Load()) }

func reductionDB(gainBits uint32) float64 {
	return max(0, -sound.AmplitudeDB(float64(math.Float32frombits(gainBits))))
}

// Process replaces a block of interleaved stereo frames by the frames of Latency frames earlier,
// both channels turned down alike. The samples do not depend on how the stream is cut into blocks.
// A sample that is NaN, infinite or 10³⁰ or more counts as 0.
//
// Audio thread: no allocation, lock, system call or log.
func (c *Ceiling) Process(block []float32) {
	least := float32(1)
	for len(block) >= 2 {
		if 2*c.written == len(c.frames) {
			c.written = max(c.latency, peakTaps)
			copy(c.frames, c.frames[len(c.frames)-2*c.written:])
		}
		now := min(len(block), len(c.frames)-2*c.written)
		least = min(least, c.processRun(block[:now]))
		block = block[now:]
	}
	// Of gains, none of which is negative, the smaller one has the smaller bits.
	for _, kept := range []*atomic.Uint32{&c.leastGain, &c.leastEver} {
		if bits := math.Float32bits(least); bits < kept.Load() {
			kept.Store(bits)
		}
	}
}

// processRun is Process for frames that there is room for. It gives the least gain.
func (c *Ceiling) processRun(block []float32) float32 {
	first := 2 * c.written
	c.written += len(block) / 2
	past := c.frames[first-2*c.latency:]
	least := float32(1)
	for i := 0; i+1 < len(block); i += 2 {
		left, right := finite(block[i]), finite(block[i+1])
		c.frames[first+i], c.frames[first+i+1] = left, right
		needed := int64(unity)
		peak := larger(abs(left), abs(right))
		if peak > c.safe {
			c.peakWatch = peakTaps
		}
		if c.peakWatch > 0 {
			c.peakWatch--
			window := c.frames[first+i-2*(peakTaps-1):]
			between := larger(truePeak((*[2*peakTaps - 1]float32)(window)),
				truePeak((*[2*peakTaps - 1]float32)(window[1:])))
			peak = larger(peak, between)
			if peak > c.ceiling {
				needed = int64(float64(c.ceiling) / float64(peak) * unity)
			}
		}
		left, right = past[i], past[i+1]
		if needed < unity || c.busy > 0 {
			gain := c.nextGain(needed)
			least = min(least, gain)
			left, right = left*gain, right*gain
		}
		block[i], block[i+1] = left, right
	}
	return least
}

// nextGain takes in what the newest frame needs and gives the gain of the frame that leaves.
func (c *Ceiling) nextGain(needed int64) float32 {
	// At least 2⁻²⁴ comes back each frame, so that the gain does arrive at 1.
	rise := max(int64(float64(unity-c.held)*c.release), unity>>24)
	c.held = min(c.needed.next(needed), c.held+rise)
	c.busy--
	if c.held < unity {
		c.busy = len(c.means[0].values) + len(c.means[1].values)
	}
	sum := c.means[1].next(c.means[0].next(c.held))
	if sum == c.perfect {
		return 1
	}
	return float32(float64(sum) * c.toGain)
}

// truePeak is the highest level that the filter finds in one channel between the two frames in the
// middle of the last twelve. The window begins at that channel's oldest sample.
func truePeak(window *[2*peakTaps - 1]float32) float32 {
	var sum0, difference0, sum1, difference1 float32
	for k := range peakPairs {
		pair := &peakPairs[k]
		newer, older := window[2*(peakTaps-1-k)], window[2*k] // the first tap meets the newest sample
		sum0 += pair.sum0 * (newer + older)
		sum1 += pair.sum1 * (newer + older)
		difference0 += pair.difference0 * (newer - older)
		difference1 += pair.difference1 * (newer - older)
	}
	return larger(abs(sum0)+abs(difference0), abs(sum1)+abs(difference1))
}

func abs(x float32) float32 { return math.Float32frombits(math.Float32bits(x) &^ (1 << 31)) }

// larger is the larger of two levels. Of numbers that are not negative the larger one has the larger bits;
// comparing those takes no branch and none of the care max takes of NaN and −0.
func larger(a, b float32) float32 {
	return math.Float32frombits(max(math.Float32bits(a), math.Float32bits(b)))
}

// finite is x, or 0 for what is no sample.
func finite(x float32) float32 {
	if !(abs(x) < maxSample) {
		return 0
	}
	return x
}
