// Partial loudness: how loud a sound is within others.

package hearing

import "math"

// Constants of the model from 500 Hz up (Moore, Glasberg & Baer 1997; from memory).
const (
	compression    = 0.2  // α: specific loudness grows with this power of the excitation
	thresholdPower = 2.31 // E_THRQ: excitation at the threshold in quiet
	bend           = 2 * thresholdPower
	// maskedRatio is K: how far above the masker's excitation a signal's is at its threshold; −3 dB. In the model it
	// grows below 1 kHz, to some 13 dB at 50 Hz, which is left out.
	maskedRatio = 0.5
)

// sonesPerERB is C, set so that a tone of 1 kHz and 40 dB SPL has 1 sone (ISO 532-2:2017, 3.15).
var sonesPerERB = func() float64 {
	var tone Excitation
	tone[bandOf(1000)] = 1e4
	return 1 / partial(&tone, &Excitation{})
}()

// PartialSones is the loudness in sones of a signal that sounds together with a masker, as it reaches both ears. Both are
// powers in bands, 1 being 0 dB SPL; a masker of zeros gives the loudness in quiet.
func PartialSones(signal, masker *Excitation) float64 { return sonesPerERB * partial(signal, masker) }

// partial is the sum of the specific loudness over all bands with C left out.
func partial(signal, masker *Excitation) (sum float64) {
	s, m := signal.Spread(), masker.Spread()
	for band := range s {
		if s[band] > 0 {
			toModel := thresholdPower / thresholds[band]
			sum += specific(s[band]*toModel, m[band]*toModel) / bandsPerERB
		}
	}
	return sum
}

// specific is the specific loudness of a signal's excitation within a masker's (equations 17 to 20 of the paper for
// excitations that are not extremely high), with C left out.
func specific(signal, masker float64) float64 {
	power := func(e float64) float64 { return math.Pow(e+bend, compression) }
	threshold := maskedRatio*masker + thresholdPower
	atThreshold := power(thresholdPower) - power(0) // in quiet, and in the masker at its threshold there
	lifted := power(masker*(1+maskedRatio) + thresholdPower)
	if signal >= threshold {
		return power(signal+masker) - power(0) - (lifted-power(0)-atThreshold)*math.Pow(threshold/signal, 0.3)
	}
	return math.Pow(2*signal/(signal+threshold), 1.5) * atThreshold / (lifted - power(masker)) *
		(power(signal+masker) - power(masker))
}
