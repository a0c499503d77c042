// What Arrange needs to know of a take: whether it strikes or goes on, where its steady part lies, how long it rings.

package arrange

import (
	"math"
	"slices"

	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes/measure"
)

const (
	envelopeSec    = 0.01 // steps of the level that the figures here are read from
	oppositeRho    = -0.5 // channels below this correlation are taken to be wired with opposite signs
	sustainBelowDB = 8.0  // the steady part ends where the level stays this far below its upper quartile
	sustainLeadSec = 0.03 // and begins this long after its level is reached, clear of the attack
	leastHeldSec   = 0.8  // a steady part shorter than this would repeat too often: the take is drawn out instead,
	leastDrawnSec  = 0.25 // and, if it is shorter than this, or noise, strikes gestures
	longestTailSec = 8.0
)

// material is the sound of a part and what arranging needs to know of it.
type material struct {
	stem
	sounds             bool
	strikes            bool
	noisy              bool
	unsteadyDB         float64 // +Inf when not known
	fromFrame, toFrame int     // of the steady part
	tailFrames         int     // frames until it is 45 dB below its highest level
	ringFrames         int     // frames from the highest level until it is 20 dB lower
	gainDB             float64
	favour             float64 // how many times the part counts in the time that it leads
	brightERB          float64 // centre of the spectrum on the scale of ERB numbers; 0 when not known
	index              int
	drawn              bool    // is made to last by the vocoder
	poor               int     // splices of its first voice that fit by less than poorRho
	noted              bool    // its beating is
	beating            Beating // once it was prolonged
}

func newMaterial(p Part, rateHz int) material {
	s := material{stem: stem{p.Left, p.Right}, noisy: p.Kind == measure.Noisy, gainDB: p.GainDB,
		favour: sound.DBToAmplitude(p.FavourDB), index: p.Index, unsteadyDB: p.SteadinessDB}
	if math.IsNaN(s.unsteadyDB) {
		s.unsteadyDB = math.Inf(1)
	}
	if p.BrightnessHz > 0 {
		s.brightERB = sound.ERBNumber(p.BrightnessHz)
	}
	powers := s.envelope(rateHz)
	top := 0.0
	peak := 0
	for k, v := range powers {
		if v > top {
			top, peak = v, k
		}
	}
	if !(top > 1e-12) || math.IsInf(top, 1) {
		return s
	}
	s.sounds = true
	step := envelopeFrames(rateHz)
	last := func(belowDB float64) int { // frames until the level stays that far below the highest
		for k := len(powers) - 1; k >= 0; k-- {
			if powers[k] > top*sound.DBToPower(-belowDB) {
				return min((k+1)*step, len(s.left))
			}
		}
		return 0
	}
	s.tailFrames = min(last(45), int(longestTailSec*float64(rateHz)))
	s.ringFrames = max(last(20)-peak*step, step)
	s.findSustain(powers, step, rateHz)
	falls := float64(peak) < 0.3*float64(len(powers)) && last(20) < len(s.left)*9/10
	leastSec := leastHeldSec
	if p.Kind == measure.Held {
		leastSec = leastDrawnSec
	}
	held := s.toFrame-s.fromFrame >= int(leastSec*float64(rateHz))
	s.strikes = p.Kind == measure.Struck || !held || s.noisy && falls
	if s.correlation() < oppositeRho {
		turned := make([]float32, len(s.right))
		for i, v := range s.right {
			turned[i] = -v
		}
		s.right = turned
	}
	return s
}

func envelopeFrames(rateHz int) int { return max(int(envelopeSec*float64(rateHz)), 1) }

// envelope returns the power of both channels in steps.
func (s *material) envelope(rateHz int) []float64 {
	step := envelopeFrames(rateHz)
	powers := make([]float64, 0, len(s.left)/step+1)
	for at := 0; at < len(s.left); at += step {
		left := s.left[at:min(at+step, len(s.left))]
		right := s.right[at:][:len(left)]
		var sum float32
		for i, l := range left {
			sum += l*l + right[i]*right[i]
		}
		powers = append(powers, float64(sum)/float64(len(left)))
	}
	return powers
}

// findSustain looks for the part between attack and release.
func (s *material) findSustain(powers []float64, step, rateHz int) {
	sorted := slices.Clone(powers)
	slices.Sort(sorted)
	least := sorted[len(sorted)*3/4] * sound.DBToPower(-sustainBelowDB)
	first, last := 0, len(powers)-1
	for first < last && powers[first] < least {
		first++
	}
	for last > first && powers[last] < least {
		last--
	}
	lead := int(sustainLeadSec * float64(rateHz))
	s.fromFrame = first * step
	s.toFrame = min((last+1)*step, len(s.left))
	if s.toFrame-s.fromFrame > 8*lead {
		if first > 0 || powers[0] < sorted[len(sorted)*3/4]/2 {
			s.fromFrame += lead
		}
		s.toFrame -= lead
	}
}

// correlation is that of left and right; 0 when a side is silent.
func (s *material) correlation() float64 {
	if alike(s.left, s.right) {
		return 1
	}
	ll, rr, lr := sound.SumsOfProducts(s.left, s.right)
	if ll == 0 || rr == 0 {
		return 0
	}
	return lr / math.Sqrt(ll*rr)
}
