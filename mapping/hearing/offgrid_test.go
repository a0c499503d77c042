package hearing_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"lapstrake/mapping/hearing"
	"lapstrake/mapping/sound"
)

const rateHz = 48000

// sines are steady ones of a power (mean square) each, for some seconds.
func sines(sec float64, tones ...hearing.Tone) []float32 {
	frames := make([]float32, int(sec*rateHz))
	for n, t := range tones {
		for i := range frames {
			phase := 2*math.Pi*t.Hz*float64(i)/rateHz + float64(n)
			frames[i] += float32(math.Sqrt(2*t.Power) * math.Sin(phase))
		}
	}
	return frames
}

func onGrid(frames []float32, rootHz float64) hearing.Grid {
	return hearing.OnGrid(hearing.TonesOf([][]float32{frames}, rateHz, rootHz, rootHz), rootHz)
}

// The share is that of the K-weighted powers (ITU-R BS.1770-5) of the tones that were put in.
func TestOffShareIsThatOfTheTonesPutIn(t *testing.T) {
	for _, key := range []float64{24, 36, 60, 84, 108} {
		rootHz := sound.KeyHz(key)
		tones := []hearing.Tone{{Hz: rootHz, Power: 0.01}, {Hz: 2 * rootHz, Power: 0.004},
			{Hz: 3 * rootHz, Power: 0.002}}
		stray := hearing.Tone{Hz: rootHz * math.Sqrt2, Power: 0.006}
		weighted := func(t hearing.Tone) float64 { return t.Power * sound.KWeight(t.Hz, rateHz) }
		want := weighted(stray) / (weighted(stray) + weighted(tones[0]) + weighted(tones[1]) + weighted(tones[2]))
		if got := onGrid(sines(3, append(tones, stray)...), rootHz); math.Abs(got.OffShare-want) > 0.01 {
			t.Errorf("key %v: %.3f is off the grid, want %.3f", key, got.OffShare, want)
		}
		weak := hearing.Tone{Hz: stray.Hz, Power: 0.01 * sound.DBToPower(-35)}
		if got := onGrid(sines(3, append(tones, weak)...), rootHz); got.OffShare != 0 {
			t.Errorf("key %v: %.3f is off the grid, where a stray tone lies 35 dB below the others", key, got.OffShare)
		}
		high := hearing.Tone{Hz: rootHz * 8.9, Power: 0.01}
		if high.Hz > rateHz/2 {
			continue
		}
		if got := onGrid(sines(3, append(tones, high)...), rootHz); got.OffShare != 0 {
			t.Errorf("key %v: %.3f is off the grid, where a tone lies above the eighth harmonic", key, got.OffShare)
		}
	}
}

// Harmonics that are all sharp or flat are found to be so within half a cent, with a weaker stray beside them too.
func TestCentsAreThoseOfTheHarmonics(t *testing.T) {
	random := rand.New(rand.NewPCG(13, 1))
	for _, key := range []float64{28, 40, 60, 84, 108} {
		cents, rootHz := 80*random.Float64()-40, sound.KeyHz(key)
		sharp := rootHz * math.Exp2(cents/1200)
		frames := sines(4, hearing.Tone{Hz: sharp, Power: 0.01}, hearing.Tone{Hz: 2 * sharp, Power: 0.01},
			hearing.Tone{Hz: 5 * sharp, Power: 0.002}, hearing.Tone{Hz: 4 * rootHz, Power: 0.002})
		if got := onGrid(frames, rootHz); math.Abs(got.Cents-cents) > 0.5 {
			t.Errorf("key %v: %.2f cents from the grid, want %.2f", key, got.Cents, cents)
		}
	}
}

// A sound whose tones fit the root at one transposition alone is moved there.
func TestBestMove(t *testing.T) {
	for _, move := range []float64{-5.3, -1.2, 0, 2.7, 4.9} {
		rootHz := sound.KeyHz(57)
		var tones []hearing.Tone
		for _, ratio := range []float64{1, 2.01, 2.74, 3.99, 5.02} { // one partial fits nowhere
			tones = append(tones, hearing.Tone{Hz: ratio * rootHz * math.Exp2(-move/12), Power: 0.01 / ratio})
		}
		moments := hearing.TonesOf([][]float32{sines(2, tones...)}, rateHz, rootHz/2, rootHz*2)
		semitones, after := hearing.BestMove(moments, rootHz, 6)
		if math.Abs(semitones-move) > 0.15 || after.OffShare > 0.25 {
			t.Errorf("moved by %.2f with %.2f left off the grid, want %.2f", semitones, after.OffShare, move)
		}
	}
}

// Silence, and sound shorter than a moment, are measured without a fault.
func TestMomentsOfLittleSound(t *testing.T) {
	if g := onGrid(make([]float32, rateHz), 220); g.OffShare != 0 || !math.IsNaN(g.Cents) {
		t.Errorf("silence: %+v", g)
	}
	if g := onGrid(sines(0.3, hearing.Tone{Hz: 440, Power: 0.01}), 220); g.OffShare > 0.02 || math.Abs(g.Cents) > 1 {
		t.Errorf("0.3 s of the second harmonic: %+v", g)
	}
}
