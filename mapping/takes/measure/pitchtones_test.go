// Pitch against tones whose frequency is known exactly.

package measure

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// stringTone is a decaying note of partials first … last at 1/k^slope, stretched by the inharmonicity b of a stiff
// string (Fletcher & Rossing, The Physics of Musical Instruments: f_k = k·f0·√(1+B·k²)); hz is the first partial.
func stringTone(hz, b float64, last, frames, rateHz int, slope float64, r *rand.Rand) []float32 {
	x := make([]float64, frames)
	for k := 1; k <= last; k++ {
		f := hz * float64(k) * math.Sqrt((1+b*float64(k*k))/(1+b))
		if f > 0.45*float64(rateHz) {
			break
		}
		phase := 2 * math.Pi * r.Float64()
		for i := range x {
			x[i] += math.Pow(float64(k), -slope) * math.Sin(2*math.Pi*f*float64(i)/float64(rateHz)+phase)
		}
	}
	y := make([]float32, frames)
	for i := range y {
		y[i] = float32(0.2 * x[i] * math.Exp(-1.5*float64(i)/float64(rateHz)))
	}
	return y
}

// TestPitchExact: tones whose frequency is known exactly, to a tenth of a cent; ISO 16 for the keys.
func TestPitchExact(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for _, rateHz := range []int{22050, 44100, 48000, 96000, 192000} {
		for _, key := range []float64{28, 33, 45, 57, 69.3, 81, 96, 108} {
			hz := 440 * math.Pow(2, (key-69)/12)
			p := FindPitch(stringTone(hz, 0, 8, 2*rateHz, rateHz, 1, r), rateHz)
			if cents := 1200 * math.Log2(p.Hz/hz); !(math.Abs(cents) < 0.1) || !p.Sure() || p.DriftCents > 1 {
				t.Errorf("key %.1f at %d Hz: %+.3f cents off, confidence %.2f, drift %.2f cents", key, rateHz, cents,
					p.Confidence, p.DriftCents)
			}
		}
	}
}

// TestPitchHard: short, stretched, hollow and rubbed notes, each to within so many cents.
func TestPitchHard(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	const rateHz = 44100
	without := func(x []float32, hz float64) []float32 { // takes the fundamental away
		y := append([]float32(nil), x...)
		for i, v := range x[int(rateHz/hz/2+0.5):] {
			y[i] = (x[i] + v) / 2
		}
		return y[:len(x)-rateHz/10]
	}
	vibrato := make([]float32, 2*rateHz)
	phase := 0.0
	for i := range vibrato {
		phase += 440 * math.Pow(2, 30*math.Sin(2*math.Pi*5.5*float64(i)/rateHz)/1200) / rateHz
		for k := 1.0; k < 9; k++ {
			vibrato[i] += float32(0.1 / k * math.Sin(2*math.Pi*k*phase))
		}
	}
	mallet := make([]float32, rateHz)
	for i := range mallet {
		at := float64(i) / rateHz
		mallet[i] = float32(0.1*math.Sin(2*math.Pi*262*at)*math.Exp(-2*at) +
			0.3*math.Sin(2*math.Pi*262*3.93*at)*math.Exp(-9*at))
	}
	for _, c := range []struct {
		name   string
		x      []float32
		hz     float64
		within float64
	}{
		{"a tenth of a second", stringTone(220, 0, 10, rateHz/10, rateHz, 1, r), 220, 5},
		{"a bass string, B = 0.0003", stringTone(27.5, 3e-4, 40, 3*rateHz, rateHz, 0.3, r), 27.5, 10},
		{"a stretched string, B = 0.0002", stringTone(55, 2e-4, 25, 2*rateHz, rateHz, 0.5, r), 55, 5},
		{"no odd partials but for traces", without(stringTone(147, 0, 14, 2*rateHz, rateHz, 0.5, r), 147*1.02), 147,
			5},
		{"vibrato", vibrato, 440, 6},
		{"a mallet, the fourth partial louder", mallet, 262, 3},
		{"a whistle", stringTone(3520, 0, 1, rateHz, rateHz, 1, r), 3520, 0.1},
		{"a whistle at 9 kHz", stringTone(9000, 0, 1, rateHz, rateHz, 1, r), 9000, 0.1},
		{"20 Hz", stringTone(20.6, 0, 30, 3*rateHz, rateHz, 0.5, r), 20.6, 3},
	} {
		p := FindPitch(c.x, rateHz)
		if cents := 1200 * math.Log2(p.Hz/c.hz); !(math.Abs(cents) < c.within) || !p.Sure() {
			t.Errorf("%s: %.3f Hz, %+.2f cents off, confidence %.2f", c.name, p.Hz, cents, p.Confidence)
		}
		if c.name == "vibrato" && (p.DriftCents < 45 || p.DriftCents > 62) {
			// A sine's 10th and 90th percentile lie at ±0.951 of its swing: 57 cents.
			t.Errorf("vibrato of ±30 cents: drift %.1f cents, expected about 57", p.DriftCents)
		}
	}
}

// TestPitchGlideAtAnyRate: a glide of half an octave drifts as far at a low rate as at a high one.
func TestPitchGlideAtAnyRate(t *testing.T) {
	for _, rateHz := range []int{8000, 11025, 22050, 48000} {
		for _, cents := range []float64{120, 240} {
			phase, x := 0.0, make([]float32, 2*rateHz)
			for i := range x {
				phase += 440 * math.Pow(2, cents/1200*float64(i)/float64(len(x))) / float64(rateHz)
				for k := 1.0; k < 8; k++ {
					x[i] += float32(0.1 / k * math.Sin(2*math.Pi*phase*k))
				}
			}
			// From the 10th to the 90th percentile of a steady glide lie eight tenths of it.
			if p := FindPitch(x, rateHz); !(math.Abs(p.DriftCents-0.8*cents) < 0.1*cents) {
				t.Errorf("%.0f cents at %d Hz: drift %.0f cents, want %.0f", cents, rateHz, p.DriftCents, 0.8*cents)
			}
		}
	}
}

// TestPitchOfALongTake: of half an hour of silence with a note in it, the note is found.
func TestPitchOfALongTake(t *testing.T) {
	const rateHz = 8000
	x := make([]float32, 29*60*rateHz)
	copy(x[20*60*rateHz:], stringTone(220, 0, 8, 3*rateHz, rateHz, 1, rand.New(rand.NewPCG(1, 1))))
	if p := FindPitch(x, rateHz); !(math.Abs(1200*math.Log2(p.Hz/220)) < 1) || !p.Sure() {
		t.Errorf("%+v, want 220 Hz", p)
	}
}

// TestPitchOddInput: nothing, silence and constants have no pitch.
func TestPitchOddInput(t *testing.T) {
	constant := make([]float32, 44100)
	for i := range constant {
		constant[i] = 0.5
	}
	for name, x := range map[string][]float32{"nothing": nil, "one sample": {1}, "silence": make([]float32, 5000),
		"constant": constant, "two samples": {1, -1}} {
		for _, rateHz := range []int{0, 1, 8000, 192000} {
			if p := FindPitch(x, rateHz); p.Sure() || math.IsNaN(p.Confidence) {
				t.Errorf("%s at %d Hz: %+v", name, rateHz, p)
			}
		}
	}
}

// TestPitchProperties: gain and sign do not matter, and a sound played faster moves by the ratio.
func TestPitchProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		hz := rapid.Float64Range(60, 2000).Draw(t, "hz")
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		x := stringTone(hz, 0, 8, 30000, 44100, 1, r)
		p := FindPitch(x, 44100)
		gain := float32(math.Pow(10, rapid.Float64Range(-60, 0).Draw(t, "gainDB")/20))
		if rapid.Bool().Draw(t, "turned") {
			gain = -gain
		}
		y := make([]float32, len(x))
		for i, v := range x {
			y[i] = gain * v
		}
		if q := FindPitch(y, 44100); math.Abs(1200*math.Log2(q.Hz/p.Hz)) > 0.1 ||
			math.Abs(q.Confidence-p.Confidence) > 0.02 {
			t.Fatalf("gain %g: %+v, before %+v", gain, q, p)
		}
		rateHz := rapid.IntRange(32000, 64000).Draw(t, "rateHz")
		if q := FindPitch(x, rateHz); math.Abs(1200*math.Log2(q.Hz/p.Hz*44100/float64(rateHz))) > 1 {
			t.Fatalf("read at %d Hz: %.3f Hz, at 44100: %.3f Hz", rateHz, q.Hz, p.Hz)
		}
	})
}

func BenchmarkPitch(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 1))
	x := stringTone(220, 0, 15, 3*44100, 44100, 1, r)
	for b.Loop() {
		FindPitch(x, 44100)
	}
	b.ReportMetric(float64(b.Elapsed().Milliseconds())/float64(b.N)/3, "ms/s-of-sound")
}
