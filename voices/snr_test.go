// Golden numbers: everything that is not the sine itself, images, rounding and all.

package voices

import "testing"

// golden holds the least signal-to-noise ratio of a full-scale sine, freqHz in a source at 48 kHz, for both
// arithmetics. The figures are this kernel's own, measured and rounded down by 1 to 2 dB, and capped at 130,
// where rounding takes over.
var golden = []struct {
	quality       Quality
	ratio, freqHz float64
	minSNRdB      float64
}{
	{Economy, 0.5297, 1000, 130},
	{Economy, 0.5297, 10000, 101},
	{Economy, 0.5297, 16000, 74},
	{Economy, 0.7492, 1000, 130},
	{Economy, 0.7492, 10000, 101},
	{Economy, 0.7492, 16000, 74},
	{Economy, 1.0595, 944, 129},
	{Economy, 1.0595, 9438, 100},
	{Economy, 1.0595, 15101, 82},
	{Economy, 3.3, 303, 124},
	{Economy, 3.3, 3030, 115},
	{Economy, 3.3, 4848, 88},
	{Standard, 0.5297, 1000, 128},
	{Standard, 0.5297, 10000, 115},
	{Standard, 0.5297, 16000, 107},
	{Standard, 0.5297, 18000, 89},
	{Standard, 0.7492, 1000, 128},
	{Standard, 0.7492, 10000, 115},
	{Standard, 0.7492, 16000, 108},
	{Standard, 0.7492, 18000, 89},
	{Standard, 1.0595, 944, 130},
	{Standard, 1.0595, 9438, 113},
	{Standard, 1.0595, 15101, 104},
	{Standard, 1.0595, 16989, 96},
	{Standard, 3.3, 303, 130},
	{Standard, 3.3, 3030, 123},
	{Standard, 3.3, 4848, 115},
	{Standard, 3.3, 5455, 69},
	{High, 0.5297, 1000, 125},
	{High, 0.5297, 10000, 113},
	{High, 0.5297, 16000, 107},
	{High, 0.5297, 18000, 99},
	{High, 0.7492, 1000, 125},
	{High, 0.7492, 10000, 113},
	{High, 0.7492, 16000, 107},
	{High, 0.7492, 18000, 99},
	{High, 1.0595, 944, 126},
	{High, 1.0595, 9438, 115},
	{High, 1.0595, 15101, 107},
	{High, 1.0595, 16989, 106},
	{High, 1.0595, 18877, 91},
	{High, 3.3, 303, 130},
	{High, 3.3, 3030, 126},
	{High, 3.3, 4848, 118},
	{High, 3.3, 5455, 115},
	{High, 3.3, 6061, 81},
	{Best, 0.5297, 1000, 130},
	{Best, 0.5297, 10000, 128},
	{Best, 0.5297, 16000, 118},
	{Best, 0.5297, 18000, 116},
	{Best, 0.5297, 20000, 115},
	{Best, 0.7492, 1000, 130},
	{Best, 0.7492, 10000, 128},
	{Best, 0.7492, 16000, 118},
	{Best, 0.7492, 18000, 116},
	{Best, 0.7492, 20000, 115},
	{Best, 1.0595, 944, 130},
	{Best, 1.0595, 9438, 125},
	{Best, 1.0595, 15101, 119},
	{Best, 1.0595, 16989, 116},
	{Best, 1.0595, 18877, 118},
	{Best, 3.3, 303, 130},
	{Best, 3.3, 3030, 130},
	{Best, 3.3, 4848, 129},
	{Best, 3.3, 5455, 127},
	{Best, 3.3, 6061, 70},
}

func TestSignalToNoise(t *testing.T) {
	for q := Economy; q <= Best; q++ {
		eachArithmetic(t, q, 4, func(t *testing.T, m *Mixer) {
			for _, g := range golden {
				if g.quality != q {
					continue
				}
				if got := resampleSine(m, g.freqHz, fixed(g.ratio)); -got.noiseDB < g.minSNRdB {
					t.Errorf("ratio %v, %v Hz: signal to noise %.1f dB, want %v", g.ratio, g.freqHz,
						-got.noiseDB, g.minSNRdB)
				}
			}
		})
	}
}
