package clean

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"pgregory.net/rapid"

	"lapstrake/mapping/project"
	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes/decode"
	"lapstrake/mapping/takes/measure"
	"lapstrake/mapping/testsound"
	"lapstrake/mapping/testsound/testtakes"
)

// Whatever pitch a take has, it sounds at its target (ISO 16:1975) within a cent, here measured by the advance of
// phase.
func TestTuningLandsOnTheRoot(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rateHz := rapid.SampledFrom([]int{22050, 32000, 44100, 48000, 96000}).Draw(t, "rate")
		outHz := rapid.SampledFrom([]int{44100, 48000}).Draw(t, "to")
		key := rapid.IntRange(28, 88).Draw(t, "key")
		target := min(max(key+rapid.IntRange(-13, 13).Draw(t, "shift"), 24), 96)
		hz := sound.KeyHz(float64(key)) * math.Exp2(rapid.Float64Range(-49, 49).Draw(t, "cents")/1200)
		samples := make([]float32, 3*rateHz/2)
		testsound.AddTones(samples, rateHz, hz, 0.2, 3)
		conformed, err := conform(testtakes.Mono(rateHz, samples), clean(measure.Held, hz, 0, 1.5),
			Treatment{TakeKey: key, TargetKey: target}, project.DefaultConformSettings(), outHz)
		if err != nil {
			t.Fatal(err)
		}
		got := testsound.MeasuredHz(testsound.Middle(conformed.Left), outHz, sound.KeyHz(float64(target)))
		if off := testsound.Cents(got, sound.KeyHz(float64(target))); math.Abs(off) > 0.1 {
			t.Fatalf("%.3f cents off", off)
		}
	})
}

// Vibrato is the player's: its width in cents and its rate per second of the take stay.
func TestTuningLeavesDriftAlive(t *testing.T) {
	samples := make([]float32, 4*testRateHz)
	phase := 0.0
	for i := range samples {
		samples[i] = float32(0.2 * math.Sin(phase))
		phase += 2 * math.Pi / testRateHz * 300 * math.Exp2(20*math.Sin(2*math.Pi*1*float64(i)/testRateHz)/1200)
	}
	m := clean(measure.Held, 300, 0, 4)
	m.Pitch.DriftCents = 40
	conformed, err := conform(testtakes.Mono(testRateHz, samples), m, Treatment{TakeKey: 62, TargetKey: 62},
		project.DefaultConformSettings(), testRateHz)
	if err != nil {
		t.Fatal(err)
	}
	lowest, highest := math.Inf(1), math.Inf(-1)
	for from := testRateHz / 2; from+testRateHz/10 < len(conformed.Left)-testRateHz/2; from += testRateHz / 100 {
		off := testsound.Cents(testsound.MeasuredHz(conformed.Left[from:from+testRateHz/10], testRateHz,
			sound.KeyHz(62)), sound.KeyHz(62))
		lowest, highest = min(lowest, off), max(highest, off)
	}
	if math.Abs(highest+lowest) > 2 || highest-lowest < 36 || highest-lowest > 41 {
		t.Errorf("drifts from %.1f to %.1f cents, want ±20", lowest, highest)
	}
}

// The builder's key overrules a wrong octave and a missing pitch: the frequency is found near that key.
func TestTuningByTheBuildersKey(t *testing.T) {
	for _, measured := range []float64{math.NaN(), 207, 621} {
		samples := make([]float32, 2*testRateHz)
		testsound.AddTones(samples, testRateHz, 414, 0.2, 4) // 5.5 cents under key 68
		testsound.AddHiss(samples, 0.002, 1)
		conformed, err := conform(testtakes.Mono(testRateHz, samples), clean(measure.Held, measured, 0, 2),
			Treatment{TakeKey: 68, TargetKey: 66}, project.DefaultConformSettings(), testRateHz)
		if err != nil {
			t.Fatal(err)
		}
		if off := testsound.Cents(testsound.MeasuredHz(testsound.Middle(conformed.Left), testRateHz, sound.KeyHz(66)),
			sound.KeyHz(66)); math.Abs(off) > 1 {
			t.Errorf("measured as %v Hz, key 68 said: %.2f cents off", measured, off)
		}
	}
}

// Recordings whose true pitch others can measure (testdata/recordings/truth.csv): conformed three semitones away, the
// first partial is on its key within 2 cents, by a way of measuring that Conform does not use.
func TestTuningOfRecordings(t *testing.T) {
	for _, r := range pitchedRecordings(t) {
		decoded, err := decode.File(r.path)
		if err != nil {
			t.Fatal(err)
		}
		m := measure.Take(decoded)
		rate := float64(decoded.RateHz)
		mono := decoded.Mono()
		from := min(len(mono)/2, int((m.OnsetSec+0.1)*rate))
		to := max(from+decoded.RateHz/2, int((m.EndSec-0.05)*rate))
		to = min(len(mono), to)
		ownHz := testsound.MeasuredHz(mono[from:to], decoded.RateHz, sound.KeyHz(float64(r.key)+r.cents/100))
		if off := testsound.Cents(ownHz, sound.KeyHz(float64(r.key))) - r.cents; math.Abs(off) > max(3, r.span) {
			t.Errorf("%s: this test measures it %.1f cents beside the truth", r.path, off)
		}
		m.Pitch.Hz = ownHz
		conformed, err := conform(decoded, m, Treatment{TakeKey: r.key, TargetKey: r.key - 3, RootKey: r.key - 3},
			project.DefaultConformSettings(), 48000)
		if err != nil {
			t.Errorf("%s: %v", r.path, err)
			continue
		}
		stretch := 48000 / rate / math.Exp2(conformed.TunedCents/1200)
		start := max(0, conformed.OnsetFrame+int((float64(from)-m.OnsetSec*rate)*stretch))
		end := min(len(conformed.Left), start+int(float64(to-from)*stretch))
		root := sound.KeyHz(float64(r.key - 3))
		if off := testsound.Cents(testsound.MeasuredHz(conformed.Left[start:end], 48000, root),
			root); math.Abs(off) > 2 {
			t.Errorf("%s: %.2f cents off", r.path, off)
		}
	}
}

// recording is a row of testdata/recordings/truth.csv.
type recording struct {
	path        string
	key         int
	cents, span float64 // of the fundamental against the key; of its drift
}

// pitchedRecordings gives every third of those that have a pitch.
func pitchedRecordings(t *testing.T) []recording {
	folder := testsound.Recordings()
	file, err := os.Open(filepath.Join(folder, "truth.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var found []recording
	pitched := 0
	for _, row := range rows[1:] {
		key, err := strconv.Atoi(row[1])
		if err != nil {
			continue // no pitch
		}
		if pitched++; pitched%3 != 1 {
			continue
		}
		own, errCents := strconv.ParseFloat(row[2], 64)
		span, errSpan := strconv.ParseFloat(row[4], 64)
		if errCents != nil || errSpan != nil {
			t.Fatalf("truth.csv, %s: %v %v", row[0], errCents, errSpan)
		}
		found = append(found, recording{filepath.Join(folder, filepath.FromSlash(row[0])), key, own, span})
	}
	if len(found) < 8 {
		t.Fatalf("truth.csv has only %d recordings to try", len(found))
	}
	return found
}
