package clean

import (
	"fmt"
	"math"
	"math/cmplx"
	"testing"

	"lapstrake/mapping/project"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes/measure"
	"lapstrake/mapping/testsound"
	"lapstrake/mapping/testsound/testtakes"
)

const (
	testRateHz = 44100
	onsetFrame = testRateHz / 2
	endFrame   = 4 * testRateHz
	testFrames = 9 * testRateHz / 2
)

// noisyTake is a tone of a few partials from onset to end in white noise so far below it.
func noisyTake(hz, snrDB float64, partials int, seed uint64) (samples []float32, m measure.Measures,
	noiseRMS float64) {
	samples = make([]float32, testFrames)
	testsound.AddTones(samples[onsetFrame:endFrame], testRateHz, hz, 0.2, partials)
	noiseRMS = testsound.RMS(samples[onsetFrame:endFrame]) * sound.DBToAmplitude(-snrDB)
	testsound.AddHiss(samples, noiseRMS, seed)
	m = clean(measure.Held, hz, float64(onsetFrame)/testRateHz, float64(endFrame)/testRateHz)
	m.SNRDB, m.NoiseFloorDBFS, m.NoiseFromPauses = snrDB, testsound.AmplitudeDB(noiseRMS), true
	return samples, m, noiseRMS
}

func partialsOf(hz float64, partials int) []float64 {
	all := make([]float64, partials)
	for n := range all {
		all[n] = hz * float64(n+1)
	}
	return all
}

// conformedMiddle conforms without tuning and gives the middle of the sound, at the level the take had.
func conformedMiddle(t *testing.T, samples []float32, m measure.Measures, set project.ConformSettings) (out []float32,
	conformed *Conformed) {
	t.Helper()
	set.Trim = true
	conformed, err := conform(testtakes.Mono(testRateHz, samples), m, Treatment{TakeKey: -1}, set, testRateHz)
	if err != nil {
		t.Fatal(err)
	}
	out = append(out, testsound.Middle(conformed.Left)...)
	for i := range out {
		out[i] *= float32(sound.DBToAmplitude(-conformed.GainDB))
	}
	return out, conformed
}

func TestDenoiseLowersNoiseAndKeepsTone(t *testing.T) {
	set := bare()
	set.DenoiseDB = 18
	for _, snrDB := range []float64{10, 20, 30} {
		for _, hz := range []float64{82.4, 220, 880} {
			t.Run(fmt.Sprintf("%.0f dB at %.0f Hz", snrDB, hz), func(t *testing.T) {
				samples, m, noiseRMS := noisyTake(hz, snrDB, 6, 7)
				out, conformed := conformedMiddle(t, samples, m, set)
				residue := testsound.Without(out, testRateHz, partialsOf(hz, 6)...)
				betterDB := testsound.AmplitudeDB(noiseRMS / testsound.RMS(residue))
				t.Logf("reduced by %.1f dB at most: SNR better by %.1f dB", conformed.DenoisedDB, betterDB)
				if betterDB < 10 {
					t.Errorf("the SNR is better by %.1f dB, want 10", betterDB)
				}
				for n, partial := range partialsOf(hz, 6) {
					want := 0.2 / float64(n+1)
					if want < 2*noiseRMS/math.Sqrt(float64(len(out))/4)*20 {
						continue // too near the noise to be measured within 0.5 dB
					}
					if offDB := testsound.AmplitudeDB(cmplx.Abs(testsound.Component(out, testRateHz, partial)) /
						want); math.Abs(offDB) > 0.5 {
						t.Errorf("partial %d is %.2f dB off its level", n+1, offDB)
					}
				}
			})
		}
	}
}

// Warble and musical noise are what comes and goes in what is left. In bands beside the partials and far from them the
// short-time power of the residue must be no more uneven than that of the very noise that came in: neither its spread
// nor its kurtosis, which single tones that pop up would raise.
func TestDenoiseDoesNotWarble(t *testing.T) {
	set := bare()
	set.DenoiseDB = 18
	const hz, partials = 440, 4
	for _, snrDB := range []float64{10, 20, 30} {
		var ins, outs [][]float32
		for seed := range uint64(4) {
			samples, m, noiseRMS := noisyTake(hz, snrDB, partials, seed)
			out, _ := conformedMiddle(t, samples, m, set)
			noise := make([]float32, testFrames)
			testsound.AddHiss(noise, noiseRMS, seed)
			trimmed := findTrim(testFrames, testRateHz, m, project.ConformSettings{Trim: true})
			ins = append(ins, testsound.Middle(noise[trimmed.from:trimmed.to]))
			outs = append(outs, testsound.Without(out, testRateHz, partialsOf(hz, partials)...))
		}
		for bandHz := 150.0; bandHz < 18000; bandHz *= 1.25 {
			inSpread, inKurtosis := unevenness(ins, bandHz)
			spread, kurtosis := unevenness(outs, bandHz)
			if spread > mostSpread*inSpread || kurtosis > mostKurtosis*inKurtosis {
				t.Errorf("%.0f dB SNR, %.0f Hz: spread %.2f, kurtosis %.1f; the noise had %.2f and %.1f", snrDB,
					bandHz, spread, kurtosis, inSpread, inKurtosis)
			}
		}
	}
}

// How much more uneven than the noise the residue may be.
const mostSpread, mostKurtosis = 1.15, 2

// What the ear calls musical noise fails by the same measure: a gate that decides on each bin of each frame alone.
func TestUnevennessFindsMusicalNoise(t *testing.T) {
	noise := make([]float32, testFrames)
	testsound.AddHiss(noise, 0.01, 1)
	g := newGate(2048)
	all := make([]int, 0)
	for from := 0; from+g.sizeFrames <= len(noise); from += g.hopFrames {
		all = append(all, from)
	}
	mean := g.meanSpectrum([][]float32{noise}, all)
	out := make([]float32, len(noise))
	spectrum, power := make([]complex128, g.bins), make([]float64, g.bins)
	for _, from := range all {
		g.analyse(spectrum, noise, from)
		clear(power)
		addPower(power, spectrum)
		for k := range power {
			if power[k] < 4*mean[k] {
				spectrum[k] = 0
			}
		}
		for i, x := range g.fft.Sequence(nil, spectrum) {
			out[from+i] += float32(x * g.window[i])
		}
	}
	inSpread, inKurtosis := unevenness([][]float32{testsound.Middle(noise)}, 3000)
	spread, kurtosis := unevenness([][]float32{testsound.Middle(out)}, 3000)
	if spread < 2*mostSpread*inSpread || kurtosis < mostKurtosis*inKurtosis {
		t.Errorf("spread %.2f, kurtosis %.1f; the noise had %.2f and %.1f", spread, kurtosis, inSpread, inKurtosis)
	}
}

// unevenness gives the spread (standard deviation over mean) and the kurtosis of the power in a narrow band over time,
// in frames of 20 ms.
func unevenness(sounds [][]float32, bandHz float64) (spread, kurtosis float64) {
	const frame = testRateHz / 50
	var powers []float64
	for _, samples := range sounds {
		for from := 0; from+frame <= len(samples); from += frame / 2 {
			z := testsound.Component(samples[from:from+frame], testRateHz, bandHz)
			powers = append(powers, real(z)*real(z)+imag(z)*imag(z))
		}
	}
	mean, second, fourth := 0.0, 0.0, 0.0
	for _, p := range powers {
		mean += p / float64(len(powers))
	}
	for _, p := range powers {
		d := (p - mean) * (p - mean)
		second += d / float64(len(powers))
		fourth += d * d / float64(len(powers))
	}
	return math.Sqrt(second) / mean, fourth / (second * second)
}

func TestDenoiseLeavesCleanTakes(t *testing.T) {
	samples, m, _ := noisyTake(220, 62, 6, 1)
	set := bare()
	set.DenoiseDB = 18
	out, conformed := conformedMiddle(t, samples, m, set)
	if conformed.DenoisedDB != 0 {
		t.Errorf("a take of 62 dB SNR was denoised by %.1f dB", conformed.DenoisedDB)
	}
	set.DenoiseDB = 0
	plain, _ := conformedMiddle(t, samples, m, set)
	for i := range out {
		if out[i] != plain[i] {
			t.Fatalf("frame %d: %v, without noise reduction %v", i, out[i], plain[i])
		}
	}
	samples, m, _ = noisyTake(220, 50, 6, 1)
	set.DenoiseDB = 18
	if _, conformed = conformedMiddle(t, samples, m, set); math.Abs(conformed.DenoisedDB-10) > 1 {
		t.Errorf("a take of 50 dB SNR was denoised by %.1f dB, want the 10 dB missing to 60", conformed.DenoisedDB)
	}
}

// A take that sounds from end to end gives its noise away only between its partials.
func TestDenoiseWithoutPauses(t *testing.T) {
	set := bare()
	set.DenoiseDB = 18
	for _, hz := range []float64{98, 330} {
		samples, m, noiseRMS := noisyTake(hz, 20, 6, 3)
		samples = samples[onsetFrame:endFrame]
		m.OnsetSec, m.EndSec, m.NoiseFromPauses = 0, float64(len(samples))/testRateHz, false
		conformed, err := conform(testtakes.Mono(testRateHz, samples), m,
			Treatment{TakeKey: int(math.Round(sound.HzKey(hz)))}, set, testRateHz)
		if err != nil {
			t.Fatal(err)
		}
		out := testsound.Middle(conformed.Left)
		gain := sound.DBToAmplitude(conformed.GainDB)
		betterDB := testsound.AmplitudeDB(noiseRMS * gain /
			testsound.RMS(testsound.Without(out, testRateHz, partialsOf(hz, 6)...)))
		t.Logf("%.0f Hz: SNR better by %.1f dB of %.1f", hz, betterDB, conformed.DenoisedDB)
		if betterDB < 6 {
			t.Errorf("%.0f Hz: the SNR is better by %.1f dB, want 6", hz, betterDB)
		}
		if offDB := testsound.AmplitudeDB(cmplx.Abs(testsound.Component(out, testRateHz, hz)) /
			(0.2 * gain)); math.Abs(offDB) > 0.2 {
			t.Errorf("%.0f Hz: the fundamental is %.2f dB off its level", hz, offDB)
		}
	}
}

// A sound that fades in is there before its onset is found: its partials are no noise.
func TestDenoiseSparesSlowAttacks(t *testing.T) {
	samples := make([]float32, testFrames)
	testsound.AddTones(samples, testRateHz, 220, 0.2, 6)
	for i := range samples {
		samples[i] *= float32(min(1, 0.4+0.3*float64(i)/testRateHz))
	}
	before := append([]float32(nil), samples...)
	testsound.AddHiss(samples, 0.002, 1)
	m := clean(measure.Held, 220, 0.5, float64(testFrames)/testRateHz)
	m.SNRDB = 12 // what is measured when the fade in counts as noise
	set := bare()
	set.DenoiseDB = 18
	conformed, err := conform(testtakes.Mono(testRateHz, samples), m, Treatment{TakeKey: 57, TargetKey: 57}, set,
		testRateHz)
	if err != nil {
		t.Fatal(err)
	}
	for n, hz := range partialsOf(220, 6) {
		now := cmplx.Abs(testsound.Component(testsound.Middle(conformed.Left), testRateHz, hz)) *
			sound.DBToAmplitude(-conformed.GainDB)
		if offDB := testsound.AmplitudeDB(now /
			cmplx.Abs(testsound.Component(testsound.Middle(before), testRateHz, hz))); math.Abs(offDB) > 0.5 {
			t.Errorf("partial %d is %.2f dB off its level", n+1, offDB)
		}
	}
}

// A blow in noise keeps its attack: the first 20 ms have the energy they had, within 1 dB.
func TestDenoiseKeepsAttack(t *testing.T) {
	samples := make([]float32, 2*testRateHz)
	blow := samples[onsetFrame:]
	testsound.AddHiss(blow[:testRateHz/20], 0.3, 5)
	testsound.AddTones(blow, testRateHz, 300, 0.3, 8)
	for i := range blow {
		blow[i] *= float32(math.Exp(-6 * float64(i) / testRateHz))
	}
	before := append([]float32(nil), blow[:testRateHz/50]...)
	testsound.AddHiss(samples, 0.003, 6)
	m := clean(measure.Struck, 300, 0.5, 1.6)
	m.SNRDB = 25
	set := bare()
	set.DenoiseDB, set.Trim = 18, true
	set.TrimBeforeMs = 20
	conformed, err := conform(testtakes.Mono(testRateHz, samples), m, Treatment{TakeKey: -1}, set, testRateHz)
	if err != nil {
		t.Fatal(err)
	}
	if conformed.DenoisedDB < 15 {
		t.Fatalf("denoised by %.1f dB only", conformed.DenoisedDB)
	}
	attack := conformed.Left[conformed.OnsetFrame:][:len(before)]
	if offDB := testsound.AmplitudeDB(testsound.RMS(attack)/testsound.RMS(before)) -
		conformed.GainDB; math.Abs(offDB) > 1 {
		t.Errorf("the attack is %.2f dB off its level", offDB)
	}
}
