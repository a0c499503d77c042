// What a key sounds like: its cycles' spectra, moved to its pitch and summed.

package check

import (
	"math"

	"lapstrake/mapping/sound"
)

// bandsPerERB is how finely keySound tells bands apart.
const bandsPerERB = 2

// keySound is the sound of one key at one place of the dynamics, as the mean over whole turns of its cycles. Its
// cycles are of different takes, so their powers add. Levels are those of the beds: headroom, velocity and volume are
// left out.
type keySound struct {
	bands    []float64 // mean square in each half auditory band
	mid      []float64 // the same of the mono sum, as cycleSpectrum has it
	weighted float64   // K-weighted mean square (ITU-R BS.1770-5), left and right summed
	stereo   float64   // mean square, left and right summed
	mono     float64   // mean square of the mono sum, as cycleSpectrum has it
	bass     float64   // mean square below bassHz
}

// How far a note of a minute, as the player renders it, strays from what the spectra foretell, since its cycles meet
// differently each time: standard deviations of 51 notes of a project of real takes and of 51 of the demo, the larger.
const (
	luSpread    = 0.08
	erbSpread   = 0.10
	widthSpread = 0.3 // degrees; of 21 notes of the demo
)

// bassHz is where bass ends: below it chords pile up (common practice).
const bassHz = 120

// silence is a sound to which cycles are added.
func (s *subject) silence() *keySound {
	bands := int(bandsPerERB*sound.ERBNumber(float64(s.m.RateHz)/2)) + 1
	return &keySound{bands: make([]float64, bands), mid: make([]float64, bands)}
}

// sound sums the cycles of a key, each as loud as the map has it there.
func (s *subject) sound(key, dynamicsValue int) *keySound {
	k := s.silence()
	s.addKey(k, key, dynamicsValue, s.spectrum)
	return k
}

// addKey adds the cycles of a key, each as loud as the map has it there; of gives what is added of a cycle.
func (s *subject) addKey(k *keySound, key, dynamicsValue int, of func(zone, layer int) *cycleSpectrum) {
	gains := make([]float64, len(s.m.Layers))
	s.m.LayerGains(float64(dynamicsValue)/127, gains)
	for _, zone := range s.m.ZonesAt(key) {
		z := &s.m.Zones[zone]
		share, ratio := s.m.ZoneGain(z, key), math.Exp2(s.m.ShiftSemitones(z, key)/12)
		for layer, gain := range gains {
			if gain != 0 {
				k.add(of(zone, layer), ratio, share*share*gain*gain, s.weights())
			}
		}
	}
}

// add sums a cycle that is played at a ratio of its speed.
func (k *keySound) add(c *cycleSpectrum, ratio, weight float64, kWeights []float64) {
	for i, power := range c.Stereo {
		hz := float64(i) * c.BinHz * ratio
		at := int(hz/kWeightHz + 0.5)
		if at >= len(kWeights) {
			break // above half the player's rate nothing is heard
		}
		power *= weight
		band := int(bandsPerERB * sound.ERBNumber(hz))
		k.bands[band] += power
		k.mid[band] += c.Mono[i] * weight
		k.weighted += power * kWeights[at]
		k.stereo += power
		k.mono += c.Mono[i] * weight
		if hz < bassHz {
			k.bass += power
		}
	}
}

// lufs is the loudness; -Inf for silence.
func (k *keySound) lufs() float64 { return sound.LUFSOf(k.weighted) }

// centroidERB is how bright the sound is.
func (k *keySound) centroidERB() float64 { return sound.CentreERB(k.bands, bandsPerERB) }

// widthDeg is how wide the sound is, from 0 where both sides are alike over 45 where they have nothing in common to 90
// where they are opposite: in each band half of the angle whose cosine is the correlation of the sides, the mean over
// the bands as centroidERB weighs them. The correlation that is just told from another is 0.04 away near 1 and 0.35
// near 0 (Gabriel & Colburn, J. Acoust. Soc. Am. 69, 1981; their orders, from memory): 8 and 10 degrees.
func (k *keySound) widthDeg() float64 {
	sum, moment := 0.0, 0.0
	for i, power := range k.bands {
		if power == 0 {
			continue
		}
		loudness := math.Pow(power, 0.3)
		correlation := 2*k.mid[i]/power - 1
		sum += loudness
		moment += loudness * math.Acos(min(max(correlation, -1), 1)) / 2 * 180 / math.Pi
	}
	if sum == 0 {
		return 0
	}
	return moment / sum
}

// monoLossDB is what is lost in mono: 0 where both sides are alike, 3 where they have nothing in common.
func (k *keySound) monoLossDB() float64 { return sound.PowerDB(k.stereo) - sound.PowerDB(k.mono) }

// kWeightHz is how far apart the values of weights lie.
const kWeightHz = 1

// weights are the K filter's gains from 0 to half the player's rate.
func (s *subject) weights() []float64 {
	if s.kWeights == nil {
		s.kWeights = make([]float64, s.m.RateHz/2/kWeightHz)
		for i := range s.kWeights {
			s.kWeights[i] = sound.KWeight(float64(i)*kWeightHz, s.m.RateHz)
		}
	}
	return s.kWeights
}
