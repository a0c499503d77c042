package clean

import (
	"math"
	"testing"

	"lapstrake/mapping/project"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes/measure"
	"lapstrake/mapping/testsound"
	"lapstrake/mapping/testsound/testtakes"
)

// drum is a low mode with the buzz of wires, which falls by fallDB a second, without a pause.
func drum(fallDB float64, seed uint64) (samples []float32, m measure.Measures) {
	samples = make([]float32, testRateHz*3/2)
	testsound.AddHiss(samples, 0.01, seed)
	for i := range samples {
		sec := float64(i) / testRateHz
		samples[i] *= float32(math.Pow(10, -fallDB*sec/20))
		samples[i] += float32(0.3 * math.Pow(10, -12*sec/20) * math.Sin(2*math.Pi*110*sec))
	}
	m = clean(measure.Struck, 110, 0, float64(len(samples))/testRateHz)
	m.SNRDB, m.NoiseFromPauses = 30, false
	return samples, m
}

// upperPower is the mean power above 2 kHz of what is within 40 dB of the loudest, by spectra that the gate does not
// use.
func upperPower(samples []float32, rateHz int) (sum float64) {
	const size = 1024
	spectrum := sound.NewSpectrum(size)
	var uppers, wholes []float64
	loudest := 0.0
	for at := size / 2; at+size/2 <= len(samples); at += size / 4 {
		upper, whole := 0.0, 0.0
		for bin, power := range spectrum.At(samples, at) {
			whole += power
			if float64(bin)*float64(rateHz)/size > upperHz {
				upper += power
			}
		}
		uppers, wholes, loudest = append(uppers, upper), append(wholes, whole), max(loudest, whole)
	}
	for i, whole := range wholes {
		if whole > loudest*1e-4 {
			sum += uppers[i]
		}
	}
	return sum
}

// The wires of a drum that never sink into its noise are its own: they lose 3 dB at most.
func TestDenoiseSparesDrums(t *testing.T) {
	set := project.Default().Conform
	for _, fallDB := range []float64{1, 5, 15, 30} {
		for seed := range uint64(3) {
			samples, m := drum(fallDB, seed)
			was := upperPower(samples, testRateHz)
			channels := [][]float32{samples}
			by := denoise(channels, testRateHz, findTrim(len(samples), testRateHz, m, set), 110, m, set)
			if lossDB := sound.PowerDB(was / upperPower(samples, testRateHz)); lossDB > 3 {
				t.Errorf("wires falling by %.0f dB a second: %.1f dB lost, by a reduction of %.1f", fallDB, lossDB, by)
			}
		}
	}
}

// So do recorded drums and bells.
func TestDenoiseSparesRecordedDrums(t *testing.T) {
	set := project.Default().Conform
	reduced := 0
	for _, take := range testtakes.In(t, "misc") {
		m := measure.Take(take.Sound)
		channels := workingCopy(take.Sound)
		span := findTrim(len(channels[0]), take.Sound.RateHz, m, set)
		was := upperPower(channels[0][span.onset:span.end], take.Sound.RateHz)
		by := denoise(channels, take.Sound.RateHz, span, m.Pitch.Hz, m, set)
		if by > 0 {
			reduced++
		}
		lossDB := sound.PowerDB(was / upperPower(channels[0][span.onset:span.end], take.Sound.RateHz))
		if by > 0 {
			t.Logf("%s: %s, reduced by %.1f dB, %.1f dB lost above 2 kHz", take.Name, m.Kind, by, lossDB)
		}
		if m.Kind == measure.Struck && lossDB > 3 {
			t.Errorf("%s: %.1f dB lost above 2 kHz, by a reduction of %.1f", take.Name, lossDB, by)
		}
	}
	if reduced < 6 {
		t.Errorf("of %d takes the noise is reduced, want 6 or more: it is spared too much", reduced)
	}
}

// What a gate leaves that decides on each bin of each frame alone rings by the measure; what the gate here leaves does
// not.
func TestHarmFindsRinging(t *testing.T) {
	noise := make([]float32, testFrames)
	testsound.AddHiss(noise, 0.01, 1)
	g := newGate(2048)
	span := trim{end: testFrames, to: testFrames}
	crude, gated := make([]float32, testFrames), append([]float32(nil), noise...)
	spectrum, power := make([]complex128, g.bins), make([]float64, g.bins)
	mean := make([]float64, g.bins)
	for _, powers := range g.loudFrames([][]float32{noise}, span) {
		for k, p := range powers {
			mean[k] += p / float64(testFrames/g.hopFrames-3)
		}
	}
	for from := 0; from+g.sizeFrames <= testFrames; from += g.hopFrames {
		g.analyse(spectrum, noise, from)
		clear(power)
		addPower(power, spectrum)
		for k := range power {
			if power[k] < 4*mean[k] {
				spectrum[k] /= 8
			}
		}
		for i, x := range g.fft.Sequence(nil, spectrum) {
			crude[from+i] += float32(x * g.window[i] / 1.5 / float64(g.sizeFrames))
		}
	}
	g.run([][]float32{gated}, span, mean, 1./8, 0.1)
	for name, out := range map[string][]float32{"crude": crude, "gated": gated} {
		was := g.loudFrames([][]float32{noise}, span)
		_, ringing := g.harm(was, [][]float32{out}, span, g.bins/4, mean, 1./64)
		if t.Logf("%s: %.2f", name, ringing); (ringing > mostRinging) != (name == "crude") {
			t.Errorf("%s: the logarithms of the kurtosis are as %.2f to 1", name, ringing)
		}
	}
}
