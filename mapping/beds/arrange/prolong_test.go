package arrange

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"

	"lapstrake/mapping/project"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes/measure"
)

// prolonged plays a take for so long, copies times: spliced, or drawn out.
func prolonged(p Part, seconds float64, copies int, seed uint64, drawn bool) []stem {
	a := newArranger(project.DefaultArrange(), 1, int(seconds*testRate), testRate, seed)
	defer a.free()
	a.materials[0] = newMaterial(p, testRate)
	a.materials[0].drawn = drawn
	var out []stem
	for voice := range copies {
		a.prolong(0, voice, copies)
		out = append(out, stem{append([]float32(nil), a.voice.left...), append([]float32(nil), a.voice.right...)})
	}
	return out
}

// correlationAt is that of two signals, the second `lag` frames later.
func correlationAt(x, y []float32, lag int) float64 {
	var xx, yy, xy float64
	for i := 0; i+lag < len(x) && i+lag < len(y); i++ {
		a, b := float64(x[i]), float64(y[i+lag])
		xx += a * a
		yy += b * b
		xy += a * b
	}
	return xy / math.Sqrt(xx*yy)
}

// A looped take is like itself at every multiple of the loop. Noise shows it best: it is like itself nowhere else.
func TestProlongedTakesHaveNoPeriod(t *testing.T) {
	for n, takeSec := range []float64{0.9, 0.3, 0.9, 0.3} {
		take := hiss(takeSec, 3)
		take.Kind = measure.Held
		out := prolonged(take, 20, 1, 5, n > 1)[0].left
		fft, points := fourier.NewFFT(1<<21), make([]float64, 1<<21)
		for i, v := range out {
			points[i] = float64(v)
		}
		bins := fft.Coefficients(nil, points)
		for i, z := range bins {
			bins[i] = complex(sound.PowerOf(z), 0)
		}
		fft.Sequence(points, bins)
		worst, at := 0.0, 0
		for lag := testRate / 20; lag < 10*testRate; lag++ {
			r := points[lag] / points[0] * float64(len(out)) / float64(len(out)-lag)
			if r > worst {
				worst, at = r, lag
			}
		}
		t.Logf("%.1f s: most like itself after %.3f s, by %.2f", takeSec, float64(at)/testRate, worst)
		if worst > 0.25 {
			t.Errorf("after %.3f s it is like itself by %.2f; a plain loop would be by 1", float64(at)/testRate, worst)
		}
	}
}

// Splices must neither click nor dip: the level of a steady tone stays, and so does the smoothness of its curve.
func TestSplicesAreSmooth(t *testing.T) {
	for _, hz := range []float64{32.7, 110, 440, 1760, 4186} {
		take := pure(hz, 1.1)
		out := prolonged(take, 12, 1, 9, false)[0].left
		step := testRate / 10
		low, high := math.Inf(1), 0.0
		for at := 0; at+step <= len(out); at += step {
			sum := 0.0
			for _, v := range out[at : at+step] {
				sum += float64(v) * float64(v)
			}
			low, high = min(low, sum), max(high, sum)
		}
		t.Logf("%.0f Hz: level spreads %.2f dB, roughness %.2g of %.2g", hz, sound.PowerDB(high/low), roughness(out),
			roughness(take.Left[4800:len(take.Left)-4800]))
		if sound.PowerDB(high/low) > 1.5 {
			t.Errorf("%.0f Hz: the level spreads by %.2f dB, expected at most 1.5", hz, sound.PowerDB(high/low))
		}
		// 1e-4: a click at −95 dBFS
		if r, of := roughness(out), roughness(take.Left[4800:len(take.Left)-4800]); r > 1.2*of+1e-4 {
			t.Errorf("%.0f Hz: roughness %.2g, the take's own is %.2g", hz, r, of)
		}
	}
}

// pure is a held take of three partials without noise.
func pure(hz, sec float64) Part {
	out := make([]float32, int(sec*testRate))
	for i := range out {
		t := 2 * math.Pi * hz * float64(i) / testRate
		edge := math.Min(float64(min(i, len(out)-1-i))/(0.02*testRate), 1)
		out[i] = float32(0.2 * raised(edge) * (math.Sin(t) + 0.5*math.Sin(2*t+1) + 0.3*math.Sin(3*t+2)))
	}
	return Part{Left: out, Right: out, Kind: measure.Held, SteadinessDB: math.NaN()}
}

// roughness is the largest fourth difference: a click of height h shows as 6h.
func roughness(x []float32) float64 {
	worst := 0.0
	for i := 4; i < len(x); i++ {
		worst = max(worst, math.Abs(float64(x[i])-4*float64(x[i-1])+6*float64(x[i-2])-4*float64(
			x[i-3])+float64(x[i-4])))
	}
	return worst
}

func TestPiecesAreIrregular(t *testing.T) {
	a := newArranger(project.DefaultArrange(), 1, 60*testRate, testRate, 4)
	defer a.free()
	a.materials[0] = newMaterial(tone(220, 1.5, 8, 4), testRate)
	a.prolong(0, 0, 1)
	pieces := a.paths[0]
	lengths := map[int]int{}
	for k := 1; k < len(pieces); k++ {
		lengths[(pieces[k].atFrame-pieces[k-1].atFrame)/(testRate/200)]++ // in steps of 5 ms
		left := pieces[k-1].fromFrame + pieces[k].atFrame - pieces[k-1].atFrame
		if jump := math.Abs(float64(pieces[k].fromFrame - left)); jump < jumpSec*testRate {
			t.Errorf("piece %d goes on %.0f frames from where the one before ends", k, jump)
		}
		if pieces[k].rho < 0.8 {
			t.Errorf("piece %d fits by %.2f, expected a place that fits a tone by 0.8", k, pieces[k].rho)
		}
	}
	for length, n := range lengths {
		if n > len(pieces)/5+1 {
			t.Errorf("%d of %d pieces last %d ms", n, len(pieces), 5*length)
		}
	}
}

// raised is a raised-cosine flank from 0 to 1.
func raised(x float64) float64 { return 0.5 - 0.5*math.Cos(math.Pi*min(max(x, 0), 1)) }
