// Checks that the sounds of one recording are found apart.

package measure

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"lapstrake/mapping/testsound"
	"lapstrake/mapping/testsound/testtakes"

	"lapstrake/mapping/takes/decode"
)

// blows are decaying tones that begin at some seconds, over hiss so far below them.
func blows(lengthSec float64, hissDB float64, decay float64, atSec ...float64) *decode.Sound {
	const rateHz = 44100
	r := rand.New(rand.NewPCG(1, 2))
	samples := make([]float32, int(lengthSec*rateHz))
	for i := range samples {
		samples[i] = float32(0.3 * math.Pow(10, hissDB/20) * r.NormFloat64())
	}
	for n, at := range atSec {
		for i := int(at * rateHz); i < len(samples); i++ {
			sec := float64(i)/rateHz - at
			level := 0.3 * math.Exp(-decay*sec) * min(1, sec/0.002)
			if n%2 == 1 {
				level *= 0.4 // 8 dB softer
			}
			samples[i] += float32(level * math.Sin(2*math.Pi*330*sec))
		}
	}
	return &decode.Sound{RateHz: rateHz, Bits: 16, Format: "WAV", Channels: [][]float32{samples}}
}

func TestStrikes(t *testing.T) {
	for name, c := range map[string]struct {
		sound *decode.Sound
		at    []float64
	}{
		"three apart":         {blows(6, -60, 6, 0.5, 2.1, 4.3), []float64{0.5, 2.1, 4.3}},
		"on the tails before": {blows(4, -60, 3, 0.2, 1.4, 2.6), []float64{0.2, 1.4, 2.6}},
		"in hiss":             {blows(6, -25, 6, 0.5, 2.1, 4.3), []float64{0.5, 2.1, 4.3}},
		"one":                 {blows(3, -60, 3, 0.5), []float64{0.5}},
		"one that is held":    {blows(3, -40, 0, 0.5), []float64{0.5}},
	} {
		strikes := Strikes(c.sound)
		if len(strikes) != len(c.at) {
			t.Errorf("%s: found %v, want strikes at %v", name, strikes, c.at)
			continue
		}
		for i, strike := range strikes {
			if margin := c.at[i] - strike.FromSec; margin < 0.01 || margin > 0.06 {
				t.Errorf("%s: strike %d is cut at %.3f s, %.3f s before its onset", name, i+1, strike.FromSec, margin)
			}
			if i > 0 && strikes[i-1].ToSec > strike.FromSec+1e-9 || strike.ToSec > c.sound.Seconds() {
				t.Errorf("%s: strikes %v lie over each other or beyond the end", name, strikes)
			}
		}
	}
	if found := Strikes(&decode.Sound{RateHz: 8000, Channels: [][]float32{make([]float32, 8000)}}); len(found) > 0 {
		t.Errorf("strikes in silence: %v", found)
	}
}

// One, two and three strikes of recorded notes, with a second and a little silence between.
func TestStrikesAreCounted(t *testing.T) {
	t.Parallel()
	right, all := 0, 0
	for _, r := range testtakes.In(t, "piano", "guitar-acoustic", "flute", "bassoon") {
		rateHz, note := r.Sound.RateHz, r.Sound.Mono()
		strike := append(append([]float32{}, note[:min(len(note), rateHz)]...), make([]float32, rateHz/5)...)
		var x []float32
		for want := 1; want <= 3; want++ {
			x = append(x, strike...)
			m := withoutPitch(testtakes.Mono(rateHz, x))
			all++
			if m.Strikes == want {
				right++
			} else {
				t.Logf("%s, %d times: %d strikes", r.Name, want, m.Strikes)
			}
			m.Kind = Struck
			if flagged := slices.Contains(m.Flags(), SeveralStrikes); flagged != (m.Strikes > 1) {
				t.Errorf("%d strikes, flagged %v", m.Strikes, flagged)
			}
		}
	}
	if right*100 < 98*all {
		t.Errorf("%d of %d counted right, want 98 %%", right, all)
	}
}

// Of the recordings of testdata four hold several sounds: a drum roll, a lick of harmonics, two belches, a till that
// clicks and rings. The others hold one: rubbed glass and a high flute that beat, notes that swell and die away.
func TestOneSoundIsOneStrike(t *testing.T) {
	t.Parallel()
	several := []string{"misc/drum_roll.flac", "misc/guit_harmonics.flac", "misc/misc_burp.flac",
		"misc/perc_till.flac"}
	for _, r := range testtakes.In(t, "piano", "guitar-acoustic", "flute", "bassoon", "misc") {
		if m := withoutPitch(r.Sound); m.Strikes > 1 != slices.Contains(several, r.Name) {
			t.Errorf("%s: %d strikes", r.Name, m.Strikes)
		}
	}
}

// Two partials as loud as each other sound as one strike, however often they cancel; struck anew, they are counted.
func TestBeatsAreNoStrikes(t *testing.T) {
	t.Parallel()
	const rateHz = 48000
	beating := testsound.Summed(testsound.SineWave(rateHz, 440, -12, 2), testsound.SineWave(rateHz, 443, -12, 2))
	beating = beating[rateHz/8:] // without the rise from the first cancellation
	for want, x := range map[int][]float32{
		1: beating,
		2: append(append(slices.Clone(beating[:rateHz]), make([]float32, rateHz/10)...), beating...),
	} {
		x = testsound.Summed(x, testsound.NoiseWave(testsound.White, rateHz, len(x), -70, 1))
		if m := withoutPitch(testtakes.Mono(rateHz, x)); m.Strikes != want {
			t.Errorf("%d strikes, want %d", m.Strikes, want)
		}
	}
}

// A string's partials decay, each at its own pace, and beat in pairs a few cents apart (a piano's unison strings;
// Weinreich 1977); the room thumps at 20 Hz, louder than what is left of the note. It is one strike, and struck again
// it is two.
func TestBeatingStringOverThumpsIsOneStrike(t *testing.T) {
	t.Parallel()
	const rateHz, lengthSec = 44100, 9
	for _, hz := range []float64{110, 196, 261.6} {
		for _, againSec := range []float64{0, 5.5} {
			x := testsound.NoiseWave(testsound.White, rateHz, lengthSec*rateHz, -85, 1)
			for _, at := range []float64{0.3, againSec} {
				if at == 0 {
					continue
				}
				for i := int(at * rateHz); i < len(x); i++ {
					sec := float64(i)/rateHz - at
					for k := 1.0; k <= 8; k++ {
						level := 0.1 * math.Exp(-(0.5+0.15*k)*sec) * min(1, sec/0.003)
						x[i] += float32(level *
							(math.Sin(2*math.Pi*k*hz*sec) + 0.9*math.Sin(2*math.Pi*k*hz*1.0012*sec)))
					}
				}
			}
			for _, at := range []float64{3.1, 4.2, 8.4} {
				for i := range rateHz / 2 {
					sec := float64(i) / rateHz
					x[int(at*rateHz)+i] += float32(0.1 * min(1, sec/0.05) * math.Exp(-8*sec) *
						math.Sin(2*math.Pi*20*sec))
				}
			}
			want := 1
			if againSec > 0 {
				want = 2
			}
			if m := withoutPitch(testtakes.Mono(rateHz, x)); m.Strikes != want {
				t.Errorf("%.1f Hz, again at %v s: %d strikes, want %d", hz, againSec, m.Strikes, want)
			}
		}
	}
}
