// What a mixer adds to a recording that was not in it, and what it takes away.

package voices

import (
	"math"
	"testing"
)

// TestImages holds the figures the standard quality was made for: the strongest image of a full-scale sine,
// tuned down five and eleven semitones. 18 kHz counts because its images, eleven semitones down, land in
// plain hearing.
func TestImages(t *testing.T) {
	limits := []struct{ freqHz, spurDB float64 }{{1000, -120}, {10000, -110}, {16000, -110}, {18000, -85}}
	eachArithmetic(t, Standard, 1, func(t *testing.T, m *Mixer) {
		for _, semitones := range []float64{-5, -11} {
			for _, limit := range limits {
				got := resampleSine(m, limit.freqHz, fixed(math.Exp2(semitones/12)))
				if got.spurDB > limit.spurDB {
					t.Errorf("%v semitones, %v Hz: image at %.1f dB, allowed %v", semitones, limit.freqHz,
						got.spurDB, limit.spurDB)
				}
				if limit.freqHz <= 16000 && math.Abs(got.levelDB) > 0.01 {
					t.Errorf("%v semitones, %v Hz: level changed by %.4f dB, allowed 0.01", semitones,
						limit.freqHz, got.levelDB)
				}
			}
		}
	})
}

// TestImagesEverywhere holds what the qualities' comments promise between those spots: the worst anywhere
// below an edge.
func TestImagesEverywhere(t *testing.T) {
	edges := []struct {
		quality        Quality
		edgeHz, spurDB float64
	}{
		{Economy, 14000, -95}, {Economy, 16000, -70},
		{Standard, 16000, -105}, {Standard, 18000, -85},
		{High, 17000, -105}, {High, 19000, -85},
		{Best, 20000, -110},
	}
	for _, e := range edges {
		m := newMixer(t, e.quality, Fastest, 1)
		for freqHz := e.edgeHz; freqHz > 0; freqHz -= 730 {
			got := resampleSine(m, freqHz, fixed(math.Exp2(-7.0/12)))
			if got.spurDB > e.spurDB || math.Abs(got.levelDB) > 0.01 {
				t.Errorf("%v, %v Hz: image at %.1f dB, allowed %v; level changed by %.4f dB, allowed 0.01",
					e.quality, freqHz, got.spurDB, e.spurDB, got.levelDB)
			}
		}
	}
}

// TestBandLimit plays upwards: partials that would fold must be gone, partials that stay below the top must
// be left alone. Both frequencies are the listener's, after the transposition.
func TestBandLimit(t *testing.T) {
	limits := []struct {
		quality           Quality
		topHz, foldHz     float64 // kept up to topHz; nothing may fold to foldHz or below
		droopDB, foldedDB float64
	}{
		{Economy, 14000, 16000, 0.01, -80},
		{Standard, 16000, 18000, 0.01, -90},
		{High, 17000, 19000, 0.01, -95},
		{Best, 18000, 20000, 0.01, -100},
	}
	for _, limit := range limits {
		eachArithmetic(t, limit.quality, MaxStep, func(t *testing.T, m *Mixer) {
			for _, ratio := range []float64{1.4142, 1.77, 3.3, 7.77, 15.9} {
				for _, heardHz := range []float64{100, 3000, limit.topHz / 2, limit.topHz} {
					got := resampleSine(m, heardHz/ratio, fixed(ratio))
					if math.Abs(got.levelDB) > limit.droopDB || got.spurDB > limit.foldedDB {
						t.Errorf("ratio %v: a partial at %v Hz changed by %.3f dB, allowed %v; image at %.1f dB, "+
							"allowed %v",
							ratio, heardHz, got.levelDB, limit.droopDB, got.spurDB, limit.foldedDB)
					}
				}
				for _, heardHz := range []float64{100, 3000, limit.foldHz / 2, limit.foldHz} {
					freqHz := (testRateHz - heardHz) / ratio
					if freqHz > testRateHz/2 {
						continue // no source has it
					}
					if got := resampleSine(m, freqHz, fixed(ratio)); got.levelDB > limit.foldedDB {
						t.Errorf("ratio %v: a partial folds to %v Hz at %.1f dB, allowed %v", ratio, heardHz,
							got.levelDB, limit.foldedDB)
					}
				}
			}
		})
	}
}

// TestPlainTableFoldsHigh: below the first band-limited table nothing is cut off, as what folds stays above
// the pass edge.
func TestPlainTableFoldsHigh(t *testing.T) {
	for q := Economy; q <= Best; q++ {
		m := newMixer(t, q, Fastest, 2)
		highest := float64(m.tables[0].lastStep) / unitStep
		lowestFold := 1 - 0.5*highest // cycles per output frame, of a partial at the source's Nyquist frequency
		if lowestFold < designs[q].passEdge-1e-6 {
			t.Errorf("%v: at step %.3f partials fold down to %.0f Hz, below the pass edge at %.0f Hz",
				q, highest, lowestFold*testRateHz, designs[q].passEdge*testRateHz)
		}
		if highest <= 1 {
			t.Errorf("%v: the plain table ends at step %v, it must serve the recorded pitch", q, highest)
		}
	}
}
