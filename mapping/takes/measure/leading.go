// The leading tone of what has no plain pitch: bells, glass, metal, a chord over its root.

package measure

import (
	"math"
	"slices"

	"lapstrake/mapping/sound"
)

// Leading is the tone by which a take without a plain pitch may be tuned.
type Leading struct {
	Hz         float64 // NaN where no tone leads
	Confidence float64 // 0 to 1: how far it leads before the next one, and how much of the sound it is
}

// SureLeading is the confidence from which a leading tone is proposed.
const SureLeading = 0.6

const (
	leadingLowHz, leadingHighHz = 60, 5000
	leadingSec                  = 2.5  // of the sound that is looked at
	leadingSkipSec              = 0.03 // the stroke itself has no tone
	leadingShortestSec          = 0.1
	leadingPeakDB               = 30    // a tone lies no further below the strongest
	leadingFloor                = 8     // times the noise around it, in power
	leadingNearRatio            = 0.013 // of a bell's partial from its place: bells are cast, not computed
	leadingSame                 = 0.006 // tones so near to each other are one: 10 cents
)

// bellRatios are the first partials of a tuned minor-third bell against its strike note: hum, prime, tierce, quint,
// nominal (Rossing, Science of Percussion Instruments, 2000, table of bells; values as tuned, from memory). The ear
// takes the strike note an octave below the nominal, whether the prime is there or not.
var bellRatios = []float64{0.5, 1, 1.2, 1.5, 2}

// leadingPeak is a partial that lasts.
type leadingPeak struct {
	hz    float64
	power float64 // as loud as it is: K-weighted (ITU-R BS.1770-5)
}

// findLeading looks at the sound from onset to end, in frames of mono.
func findLeading(mono []float32, rateHz, onset, end int) Leading {
	none := Leading{Hz: math.NaN()}
	from := onset + int(leadingSkipSec*float64(rateHz))
	to := min(end, from+int(leadingSec*float64(rateHz)), len(mono))
	if to-from < int(leadingShortestSec*float64(rateHz)) {
		return none
	}
	peaks, tonal := lastingPeaks(mono[from:to], rateHz)
	if len(peaks) == 0 {
		return none
	}
	if strikeHz, share := strikeNote(peaks); strikeHz > 0 {
		return Leading{strikeHz, math.Sqrt(share) * tonal}
	}
	// The strongest partial leads as far as it stands before the next one that is no octave of it.
	slices.SortFunc(peaks, func(a, b leadingPeak) int { return compare(b.power, a.power) })
	first, next := peaks[0], 0.0
	for _, p := range peaks[1:] {
		octaves := math.Log2(p.hz / first.hz)
		if math.Abs(octaves-math.Round(octaves)) > leadingSame {
			next = p.power
			break
		}
	}
	return Leading{first.hz, (1 - next/first.power) * tonal}
}

func compare(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// lastingPeaks finds the partials that are there in both halves of a stretch, and how tonal it is: the share of its
// power that lies in them, made 1 from a half on.
func lastingPeaks(x []float32, rateHz int) (peaks []leadingPeak, tonal float64) {
	half := len(x) / 2
	size := sound.PowerOfTwo(float64(half)/float64(rateHz), rateHz)
	if size > half {
		size /= 2
	}
	early := slices.Clone(sound.NewSpectrum(size).At(x, size/2))
	late := sound.NewSpectrum(size).At(x, len(x)-size/2)
	binHz := float64(rateHz) / float64(size)
	lowest, highest := int(leadingLowHz/binHz)+1, min(int(leadingHighHz/binHz), len(late)-2)
	both := make([]float64, len(late)) // a partial that does not last counts by its geometric mean
	all := 0.0
	for k := lowest; k <= highest; k++ {
		both[k] = math.Sqrt(early[k] * late[k])
		all += both[k]
	}
	strongest, inPeaks := 0.0, 0.0
	for k := lowest + 1; k < highest; k++ {
		if both[k] <= both[k-1] || both[k] < both[k+1] || both[k] < leadingFloor*aroundBin(both, k) {
			continue
		}
		hz := (float64(k) + sound.PeakOffset(both[k-1], both[k], both[k+1])) * binHz
		power := both[k-1] + both[k] + both[k+1]
		inPeaks += power
		p := leadingPeak{hz, power * sound.KWeight(hz, rateHz)}
		strongest = max(strongest, p.power)
		peaks = append(peaks, p)
	}
	peaks = slices.DeleteFunc(peaks, func(p leadingPeak) bool {
		return p.power < strongest*sound.DBToPower(
			-leadingPeakDB)
	})
	if all == 0 {
		return nil, 0
	}
	return peaks, min(2*inPeaks/all, 1)
}

// aroundBin is the median power of the bins beside one, without its own lobe.
func aroundBin(power []float64, k int) float64 {
	const reach, lobe = 24, 3
	var near []float64
	for i := max(k-reach, 0); i <= min(k+reach, len(power)-1); i++ {
		if i < k-lobe || i > k+lobe {
			near = append(near, power[i])
		}
	}
	slices.Sort(near)
	return near[len(near)/2]
}

// strikeNote is the strike note of a bell, and the share of the peaks' power in its first partials; 0 where fewer than
// four of the five are there, the nominal among them, or they are not the most of the sound.
func strikeNote(peaks []leadingPeak) (hz, share float64) {
	all := 0.0
	for _, p := range peaks {
		all += p.power
	}
	for _, nominal := range peaks {
		strike, found, sum := nominal.hz/2, 0, 0.0
		for _, ratio := range bellRatios {
			at := slices.IndexFunc(peaks, func(p leadingPeak) bool {
				return math.Abs(p.hz/(strike*ratio)-1) < leadingNearRatio*(1+0.5*math.Abs(ratio-1))
			})
			if at >= 0 {
				found++
				sum += peaks[at].power
			}
		}
		if found >= 4 && sum/all > max(share, 0.5) && hasTierce(peaks, strike) {
			hz, share = strike, sum/all
		}
	}
	return hz, share
}

// hasTierce says whether the minor third is there, by which a bell differs from a chord of fifths and octaves.
func hasTierce(peaks []leadingPeak, strike float64) bool {
	return slices.ContainsFunc(peaks, func(p leadingPeak) bool {
		return math.Abs(
			p.hz/(1.2*strike)-1) < leadingNearRatio
	})
}
