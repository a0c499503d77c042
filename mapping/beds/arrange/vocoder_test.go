package arrange

import (
	"math"
	"math/cmplx"
	"slices"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"

	"lapstrake/mapping/project"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes/measure"
	"lapstrake/mapping/testsound"
)

// middleOf is so much of a recorded held note from around its middle, at its own pitch.
func middleOf(t *testing.T, name string, sec float64) Part {
	t.Helper()
	p := recorded(t, name, measure.Held, int(math.Round(trueCents(t, name)/100)))
	frames := int(sec * testRate)
	from := (len(p.Left) - frames) / 2
	p.Left, p.Right = p.Left[from:from+frames], p.Right[from:from+frames]
	return p
}

// heldNotes are those whose levels differ most over time: tremolo, breath, beats of their own.
var heldNotes = []string{"bassoon/A4.mp3", "bassoon/C5.mp3", "bassoon/E4.mp3", "flute/C4.mp3",
	"flute/A5.mp3", "flute/E6.mp3"}

// However a short take is made to last, it does not beat by over 3 dB more than its recording does, by a measure that
// is not the build's; and where it is spliced, at most one splice in twenty is between places that correlate by under
// 0.5.
func TestShortTakesDoNotBeat(t *testing.T) {
	ways := map[string]int{}
	for _, name := range heldNotes {
		own := envelopeBeats(middleOf(t, name, 0.9).Left)
		for _, sec := range []float64{0.35, 0.6, 1} {
			a := newArranger(project.DefaultArrange(), 1, 6*testRate, testRate, 3)
			m := &a.materials[0]
			*m = newMaterial(middleOf(t, name, sec), testRate)
			a.chooseWay(0, 1)
			switch {
			case m.strikes:
				ways["struck"]++
				continue
			case m.drawn:
				ways["drawn out"]++
			default:
				ways["spliced"]++
			}
			a.prolong(0, 0, 1)
			var more []float64
			for third, depthDB := range envelopeBeats(a.voice.left) {
				if itself, counts := own[third]; counts {
					more = append(more, math.Sqrt(max(depthDB*depthDB-itself*itself, 0)))
				}
			}
			slices.Sort(more)
			t.Logf("%s, %.2f s: drawn out %v, beats by %.1f dB more, by the build %.1f", name, sec, m.drawn,
				more[len(more)*3/4], m.beating.BeatDB)
			if beatDB := more[len(more)*3/4]; beatDB > 3 {
				t.Errorf("%s, %.2f s of it: a quarter of its bands beats by %.1f dB or more beyond what it does",
					name, sec, beatDB)
			}
			if m.poor*20 > m.beating.Splices {
				t.Errorf("%s, %.2f s of it: %d of %d splices fit by less than 0.5", name, sec, m.poor,
					m.beating.Splices)
			}
			a.free()
		}
	}
	if t.Log(ways); ways["struck"] > 2 || ways["drawn out"] < 6 {
		t.Errorf("%v: hardly any is drawn out", ways)
	}
}

// Drawn out, a note keeps its pitch to 8 cents, its loudness to 1 dB and its spectrum, in octaves, to 2 dB.
func TestDrawnOutNotesKeepTheirSound(t *testing.T) {
	for _, name := range heldNotes {
		take := middleOf(t, name, 0.5)
		a := newArranger(project.DefaultArrange(), 1, 6*testRate, testRate, 5)
		a.materials[0] = newMaterial(take, testRate)
		m := &a.materials[0]
		m.drawn = true
		a.prolong(0, 0, 1)
		source, drawn := octaves(take.Left[m.fromFrame:m.toFrame]), octaves(a.voice.left)
		loudest, whole, wholeDrawn := 0.0, 0.0, 0.0
		for octave, power := range source {
			loudest, whole, wholeDrawn = max(loudest, power), whole+power, wholeDrawn+drawn[octave]
		}
		if offDB := sound.PowerDB(wholeDrawn / whole); math.Abs(offDB) > 1 {
			t.Errorf("%s: %.2f dB louder than the take", name, offDB)
		}
		for octave, power := range source {
			offDB := sound.PowerDB(drawn[octave] / power)
			if power > loudest*1e-3 && math.Abs(offDB) > 2 {
				t.Errorf("%s: the octave around %.0f Hz is %.1f dB off", name, 1000*math.Exp2(float64(octave)), offDB)
			}
		}
		hz := testsound.KeyHz(math.Round(trueCents(t, name) / 100))
		was := testsound.MeasuredHz(take.Left[m.fromFrame:m.toFrame], testRate, hz)
		is := testsound.MeasuredHz(a.voice.left, testRate, hz)
		if cents := testsound.Cents(is, was); math.Abs(cents) > 8 {
			t.Errorf("%s: drawn out it is %.1f cents off", name, cents)
		}
		a.free()
	}
}

// octaves are the mean powers of octave bands (IEC 61260-1) around 125 Hz to 8 kHz.
func octaves(x []float32) map[int]float64 {
	powers := map[int]float64{}
	const size = 8192
	spectrum := sound.NewSpectrum(size)
	n := 0.0
	for at := size / 2; at+size/2 <= len(x); at += size / 4 {
		n++
		for bin, power := range spectrum.At(x, at) {
			if hz := float64(bin) * testRate / size; hz > 90 && hz < 11000 {
				powers[int(math.Round(math.Log2(hz/1000)))] += power
			}
		}
	}
	for octave := range powers {
		powers[octave] /= n
	}
	return powers
}

// envelopeBeats measures beats by other means than the build: the envelopes of bands of a third of an octave, as the
// size of the analytic signal of each; of each the root mean square of what moves from 1 to 20 Hz, about a straight
// line, against the mean. It gives the depth in dB, as of a sine that goes up so far, for all bands within 30 dB of
// the strongest.
func envelopeBeats(x []float32) map[int]float64 {
	n := 1
	for n < len(x) {
		n *= 2
	}
	points := make([]float64, n)
	for i, v := range x {
		points[i] = float64(v)
	}
	bins := fourier.NewFFT(n).Coefficients(nil, points)
	means, depths, most := map[int]float64{}, map[int]float64{}, 0.0
	for third := -10; third <= 10; third++ { // 100 Hz to 10 kHz
		centre := 1000 * math.Pow(10, float64(third)/10)
		from := int(centre * math.Pow(10, -0.1) * float64(n) / float64(testRate))
		to := min(int(centre*math.Pow(10, 0.1)*float64(n)/float64(testRate)), n/2)
		if to <= from {
			continue
		}
		// The band alone, moved down to 0 Hz: its envelope at a rate of twice its width or more.
		size := 64
		for size < 2*(to-from) {
			size *= 2
		}
		band := make([]complex128, size)
		for k, z := range bins[from:to] { // with soft flanks: at a hard edge a vibrato would beat
			band[k] = z * complex(sound.HannEven(k, to-from), 0)
		}
		wave := fourier.NewCmplxFFT(size).Sequence(nil, band)
		wave = wave[size*len(x)/n/20 : size*len(x)/n*19/20]
		mean, slope, squares := 0.0, 0.0, 0.0
		middle := float64(len(wave)-1) / 2
		for i, z := range wave {
			mean += cmplx.Abs(z) / float64(len(wave))
			slope += (float64(i) - middle) * cmplx.Abs(z)
			squares += (float64(i) - middle) * (float64(i) - middle)
		}
		size2 := 1
		for size2 < len(wave) {
			size2 *= 2
		}
		moving := make([]float64, size2)
		for i, z := range wave {
			moving[i] = cmplx.Abs(z) - mean - slope/squares*(float64(i)-middle)
		}
		power := 0.0
		for k, z := range fourier.NewFFT(size2).Coefficients(nil, moving) {
			if hz := float64(k) / float64(size2) * float64(size) / float64(n) * float64(testRate); hz >= 1 &&
				hz <= 20 {
				power += 2 * cmplx.Abs(z) * cmplx.Abs(z)
			}
		}
		rms := math.Sqrt(power / float64(size2) / float64(len(wave)))
		means[third], depths[third] = mean, 20*math.Log10(1+math.Sqrt2*rms/(mean+1e-30))
		most = max(most, mean)
	}
	for third, mean := range means {
		if mean < most/31.6 {
			delete(depths, third)
		}
	}
	return depths
}

// The measure itself: a tone whose level goes up and down by 3 dB five times a second beats by 3 dB, a still one by
// none.
func TestEnvelopeBeatsOfKnownTones(t *testing.T) {
	for _, beatDB := range []float64{0, 3} {
		x := make([]float32, 4*testRate)
		for i := range x {
			sec := float64(i) / testRate
			x[i] = float32(0.2 * (1 + (math.Pow(10, beatDB/20)-1)*math.Sin(2*math.Pi*5*sec)) *
				math.Sin(2*math.Pi*440*sec))
		}
		if got := envelopeBeats(x)[-4]; math.Abs(got-beatDB) > 0.5 { // the band around 398 Hz
			t.Errorf("a beat of %v dB measures %.2f dB", beatDB, got)
		}
	}
}
