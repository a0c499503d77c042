// How far sound lies off the harmonics of a root.

package hearing

import (
	"cmp"
	"math"
	"slices"
	"sync"

	"lapstrake/mapping/sound"
)

const (
	momentSec   = 1.0 // long enough to tell the partials of the lowest keys apart
	hopSec      = 0.5
	strongDB    = 25 // a tone counts down to so far below the strongest one
	sparedDB    = 15 // further than that, tones are kept for sounds that are mixed or moved later
	gridNumber  = 8  // harmonics of the grid: above them any tone lies near one
	onGridCents = 50 // a quarter tone
	lowestHz    = 25
	highestHz   = 16000
)

// Tone is a peak of a spectrum.
type Tone struct {
	Hz    float64
	Power float64 // mean square, full scale ±1, left and right summed; the ear's weight is not in it
}

// Moment is a second of sound.
type Moment struct {
	AtSec    float64 // its middle
	Tones    []Tone  // its strongest peaks, the lowest first
	Weighted float64 // K-weighted mean square of all of it (ITU-R BS.1770-5)
}

// TonesOf finds the tones of each second of sound, every half second: those from 0.6 of lowRootHz to the eighth
// harmonic and a half of highRootHz that are strong enough for the grid of a root in between. channels are alike long.
// Of less than a second there is one moment, with silence around.
func TonesOf(channels [][]float32, rateHz int, lowRootHz, highRootHz float64) []Moment {
	size := int(momentSec * float64(rateHz))
	spectrum := sound.BorrowSpectrum(size)
	defer spectrum.GiveBack()
	from, to := lowestGridHz(lowRootHz), min(highestGridHz(highRootHz), float64(rateHz)/2)
	frames, hop := len(channels[0]), int(hopSec*float64(rateHz))
	power := make([]float64, len(spectrum.Power))
	var moments []Moment
	for n := range max((frames-size)/hop, 0) + 1 {
		centre := n*hop + size/2
		if frames < size {
			centre = frames / 2
		}
		clear(power)
		for _, channel := range channels {
			for i, p := range spectrum.At(channel, centre) {
				power[i] += p
			}
		}
		m := momentOf(power, float64(rateHz)/float64(size), from, to)
		m.AtSec = float64(centre) / float64(rateHz)
		moments = append(moments, m)
	}
	return moments
}

// lowestGridHz and highestGridHz bound where tones are looked at for a root.
func lowestGridHz(rootHz float64) float64  { return max(0.6*rootHz, lowestHz) }
func highestGridHz(rootHz float64) float64 { return min((gridNumber+0.5)*rootHz, highestHz) }

// momentOf finds the peaks of a power spectrum of a Hann window.
func momentOf(power []float64, binHz, fromHz, toHz float64) Moment {
	const sineInPeak = 1.5 // mean square of a steady sine over that of its highest bin
	m := Moment{}
	for i, p := range power {
		m.Weighted += p * kWeight(float64(i)*binHz)
	}
	strongest := 0.0
	for i := max(int(fromHz/binHz), 1); i < min(int(toHz/binHz)+1, len(power)-1); i++ {
		left, middle, right := power[i-1], power[i], power[i+1]
		if middle <= left || middle < right {
			continue
		}
		at := sound.PeakOffset(left, middle, right)
		top := middle
		if left > 0 && right > 0 { // of the parabola through the logarithms
			top *= math.Exp(at / 4 * math.Log(right/left))
		}
		t := Tone{(float64(i) + at) * binHz, top * sineInPeak}
		m.Tones, strongest = append(m.Tones, t), max(strongest, t.weighted())
	}
	m.Tones = slices.DeleteFunc(m.Tones, func(t Tone) bool {
		return t.weighted() <= strongest*sound.DBToPower(-strongDB-sparedDB)
	})
	return m
}

// weighted is how strong the ear finds the tone.
func (t Tone) weighted() float64 { return t.Power * kWeight(t.Hz) }

// kWeight is the K filter's gain, by a table of 1 Hz.
func kWeight(hz float64) float64 { return kWeights()[min(int(hz+0.5), highestHz)] }

var kWeights = sync.OnceValue(func() []float64 {
	table := make([]float64, highestHz+1)
	for hz := range table {
		table[hz] = sound.KWeight(float64(hz), 48000)
	}
	return table
})

// Moved is the moment played at a ratio of its speed and a gain of power.
func (m Moment) Moved(ratio, gain float64) Moment {
	moved := Moment{AtSec: m.AtSec, Weighted: m.Weighted * gain, Tones: make([]Tone, len(m.Tones))}
	for i, t := range m.Tones {
		moved.Tones[i] = Tone{t.Hz * ratio, t.Power * gain}
	}
	return moved
}

// Together is what moments that sound at once have: their powers add, as those of different takes do.
func Together(moments ...Moment) (sum Moment) {
	for _, m := range moments {
		sum.AtSec = m.AtSec
		sum.Weighted += m.Weighted
		sum.Tones = append(sum.Tones, m.Tones...)
	}
	return sum
}

// Grid says how sound lies on the harmonics of a root.
type Grid struct {
	// part of the K-weighted power of the strong tones that is over 50 cents from a harmonic, 0 to 1
	OffShare    float64
	ShareSpread float64 // standard deviation of that from moment to moment
	Cents       float64 // middle of how far above their harmonics the other tones lie, by power; NaN: none does
	Roughness   float64 // of all strong tones against the root's harmonics; see roughnessOn
}

// OnGrid compares the tones of moments with the harmonics of a root: those within 25 dB of the strongest of their
// moment, up to the eighth harmonic. Louder moments count more, by their K-weighted power. A sound without tones there
// lies on any grid.
func OnGrid(moments []Moment, rootHz float64) Grid {
	g := Grid{Cents: math.NaN()}
	var on []weightedCents
	all, squares := 0.0, 0.0
	for _, m := range moments {
		strong := m.strong(rootHz)
		off, sum := 0.0, 0.0
		for _, t := range strong {
			p, cents := t.weighted(), CentsOff(t.Hz, rootHz)
			sum += p
			if math.Abs(cents) > onGridCents {
				off += p
			} else {
				on = append(on, weightedCents{cents, p})
			}
		}
		if sum == 0 {
			continue
		}
		all += m.Weighted
		g.OffShare += m.Weighted * off / sum
		squares += m.Weighted * (off / sum) * (off / sum)
		g.Roughness += m.Weighted * roughnessOn(strong, rootHz)
	}
	if all > 0 {
		g.OffShare, g.Roughness = g.OffShare/all, g.Roughness/all
		g.ShareSpread = math.Sqrt(max(squares/all-g.OffShare*g.OffShare, 0))
	}
	g.Cents = middleCents(on)
	return g
}

// CentsOff is how far a frequency lies above the nearest harmonic of a root, in cents.
func CentsOff(hz, rootHz float64) float64 {
	number := max(math.Round(hz/rootHz), 1)
	return 1200 * math.Log2(hz/(number*rootHz))
}

// strong lists the tones that count for a root.
func (m Moment) strong(rootHz float64) (tones []Tone) {
	from, to, strongest := lowestGridHz(rootHz), highestGridHz(rootHz), 0.0
	for _, t := range m.Tones {
		if t.Hz >= from && t.Hz <= to {
			tones, strongest = append(tones, t), max(strongest, t.weighted())
		}
	}
	least := strongest * sound.DBToPower(-strongDB)
	return slices.DeleteFunc(tones, func(t Tone) bool { return t.weighted() <= least })
}

// OffGrid lists the tones that count for a root and lie off its harmonics, the strongest first: those of all moments
// that lie within 20 cents of a stronger one are one with it. Their powers are means over the moments, K-weighted.
func OffGrid(moments []Moment, rootHz float64) (tones []Tone) {
	const sameCents = 20
	var all []Tone
	for _, m := range moments {
		for _, t := range m.strong(rootHz) {
			if math.Abs(CentsOff(t.Hz, rootHz)) > onGridCents {
				all = append(all, Tone{t.Hz, t.weighted() / float64(len(moments))})
			}
		}
	}
	slices.SortFunc(all, func(a, b Tone) int { return cmp.Compare(b.Power, a.Power) })
	for _, t := range all {
		same := slices.IndexFunc(tones, func(o Tone) bool { return math.Abs(1200*math.Log2(t.Hz/o.Hz)) < sameCents })
		if same < 0 {
			tones = append(tones, t)
		} else {
			tones[same].Power += t.Power
		}
	}
	slices.SortFunc(tones, func(a, b Tone) int { return cmp.Compare(b.Power, a.Power) })
	return tones
}

type weightedCents struct{ cents, weight float64 }

// middleCents is the weighted median: a few strays do not move it.
func middleCents(all []weightedCents) float64 {
	slices.SortFunc(all, func(a, b weightedCents) int { return cmp.Compare(a.cents, b.cents) })
	sum, below := 0.0, 0.0
	for _, w := range all {
		sum += w.weight
	}
	for _, w := range all {
		if below += w.weight; below >= sum/2 {
			return w.cents
		}
	}
	return math.NaN()
}
