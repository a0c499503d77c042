// Made speech.

package testsound

import (
	"math"
	"math/rand/v2"
)

// vowels are frequencies of two resonances (as in Peterson & Barney 1952, from memory).
var vowels = [][2]float64{{270, 2290}, {530, 1840}, {730, 1090}, {570, 840}, {300, 870}}

// Speech is made to sound as speech does: syllables of a buzz whose pitch glides, through two resonances that move
// from vowel to vowel, with a hiss before every other one.
func Speech(rateHz int, seed uint64) []float32 {
	r := rand.New(rand.NewPCG(seed, 3))
	voiceHz := 95 + 110*r.Float64()
	var x []float32
	phase := 0.0
	for syllable := range 4 + r.IntN(4) {
		if syllable%2 == 0 {
			x = append(x, breath(r, rateHz*7/100)...)
		}
		from, to := vowels[r.IntN(len(vowels))], vowels[r.IntN(len(vowels))]
		bendHz := voiceHz * (0.5*r.Float64() - 0.2)
		n := rateHz * (12 + r.IntN(10)) / 100
		x = append(x, voiced(rateHz, n, voiceHz, bendHz, from, to, &phase)...)
	}
	return x
}

// Word is a word of two syllables on one pitch, somewhat like "okay".
func Word(rateHz int, hz float64, seed uint64) []float32 {
	r := rand.New(rand.NewPCG(seed, 4))
	phase := 0.0
	x := voiced(rateHz, rateHz*14/100, hz, 0, vowels[3], vowels[4], &phase)
	x = append(x, make([]float32, rateHz*4/100)...)
	x = append(x, breath(r, rateHz*5/100)...)
	return append(x, voiced(rateHz, rateHz*20/100, hz, 0, vowels[1], vowels[0], &phase)...)
}

func breath(r *rand.Rand, frames int) []float32 {
	x := make([]float32, frames)
	for i := range x {
		x[i] = float32(0.03 * r.NormFloat64())
	}
	return x
}

// voiced is a syllable whose pitch bends and whose vowel moves.
func voiced(rateHz, frames int, hz, bendHz float64, from, to [2]float64, phase *float64) []float32 {
	x := make([]float32, frames)
	for i := range x {
		part := float64(i) / float64(frames)
		now := hz + bendHz*part
		*phase += now / float64(rateHz)
		y := 0.0
		for k := 1.0; k*now < 4000; k++ {
			gain := 0.0
			for formant := range 2 {
				centre := from[formant] + (to[formant]-from[formant])*part
				gain += 1 / (1 + math.Pow((k*now-centre)/60, 2)) / float64(1+2*formant)
			}
			y += (gain + 0.01) * math.Sin(2*math.Pi*k**phase)
		}
		x[i] = float32(0.3 * y * math.Sin(math.Pi*part))
	}
	return x
}
