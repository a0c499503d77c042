// Checks of the auditory bands on sines and against the published bandwidth.

package arrange

import (
	"math"
	"testing"

	"lapstrake/mapping/sound"
)

// A sine's power falls into the band of its frequency, at its own level, however it is panned.
func TestBandsOfASine(t *testing.T) {
	for _, rateHz := range []int{8000, 44100, 48000, 96000} {
		b := newBander(rateHz)
		for _, hz := range []float64{100, 440, 1000, 3000} {
			for _, pan := range []float64{-1, -0.3, 0, 0.8} {
				mono := make([]float32, rateHz)
				for i := range mono {
					mono[i] = float32(0.5 * math.Sin(2*math.Pi*hz*float64(i)/float64(rateHz)))
				}
				var s stem
				s.resize(rateHz)
				s.clear()
				s.place(stem{mono, mono}, 0, placeAt(pan, 1), nil)
				bands := b.measure(&s, rateHz)
				row := bands.Blocks[5]
				most, sum := 0, 0.0
				for band, p := range row {
					sum += p
					if p > row[most] {
						most = band
					}
				}
				if math.Abs(sound.PowerDB(sum/0.125)) > 0.1 {
					t.Errorf("%d Hz rate, %.0f Hz at %.1f: %.2f dB off its power", rateHz, hz, pan,
						sound.PowerDB(sum/0.125))
				}
				if low, high := sound.ERBHz(float64(erbFirst+most)),
					sound.ERBHz(float64(erbFirst+most+1)); hz < low*0.8 || hz > high*1.2 {
					t.Errorf("%d Hz rate, %.0f Hz at %.1f: found in the band %.0f to %.0f Hz", rateHz,
						hz, pan, low, high)
				}
			}
		}
	}
}

// Glasberg & Moore 1990: the bandwidth at F is 24.7·(4.37·F/1000 + 1) Hz, 132.6 Hz at 1 kHz.
func TestBandsAreOneERBWide(t *testing.T) {
	for band := range erbBands {
		low, high := sound.ERBHz(float64(erbFirst+band)), sound.ERBHz(float64(erbFirst+band+1))
		want := 24.7 * (4.37*BandHz(band)/1000 + 1)
		if math.Abs((high-low)/want-1) > 0.01 {
			t.Errorf("band at %.0f Hz is %.1f Hz wide, want %.1f", BandHz(band), high-low, want)
		}
	}
}
