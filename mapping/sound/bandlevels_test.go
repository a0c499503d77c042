package sound_test

import (
	"math"
	"testing"

	"lapstrake/mapping/sound"
)

// A tone whose level goes up and down by so many dB so often a second has that swing in its band, and its mean level.
func TestBandLevelsFollowATremolo(t *testing.T) {
	const rateHz, hz, depthDB, beatHz = 48000, 1000, 5.0, 4.0
	tone := make([]float32, 4*rateHz)
	for i := range tone {
		sec := float64(i) / rateHz
		levelDB := -20 + depthDB*math.Sin(2*math.Pi*beatHz*sec)
		tone[i] = float32(sound.DBToAmplitude(levelDB) * math.Sqrt2 * math.Sin(2*math.Pi*hz*sec))
	}
	bands, err := sound.BandLevels(int64(len(tone)), rateHz, func(samples []float32, from int64) error {
		copy(samples, tone[from:])
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	// Glasberg & Moore (1990): 1 kHz is ERB number 15.6, and 100 Hz is 3.4, in the first band.
	levels := bands[15-3]
	if want := (4 - 0.043) * sound.BandLevelsPerSec; math.Abs(float64(len(levels))-want) > 1 {
		t.Errorf("%d levels of 4 s, want %v", len(levels), want)
	}
	swings := sound.Swings(levels, -60)
	highest, lowest := math.Inf(-1), math.Inf(1)
	for _, swing := range swings[50:150] {
		highest, lowest = max(highest, swing), min(lowest, swing)
	}
	if math.Abs(highest-depthDB) > 0.4 || math.Abs(lowest+depthDB) > 0.6 {
		t.Errorf("swings from %.2f to %.2f dB, want ±%v", lowest, highest, depthDB)
	}
}

// What falls evenly within less than a second does not swing.
func TestSwingsLeaveASlopeOut(t *testing.T) {
	levels := make([]float64, 20)
	for k := range levels {
		levels[k] = -20 - 0.7*float64(k)
	}
	for k, swing := range sound.Swings(levels, -60) {
		if math.Abs(swing) > 1e-9 {
			t.Errorf("level %d swings by %v dB on a straight slope", k, swing)
		}
	}
}
