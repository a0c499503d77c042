// Width, correlation, balance and mono loss of pairs of channels whose values follow by arithmetic.

package measure

import (
	"math"
	"testing"

	"lapstrake/mapping/takes/decode"
	"lapstrake/mapping/testsound"
	"lapstrake/mapping/testsound/testtakes"
)

func TestWidth(t *testing.T) {
	t.Parallel()
	x, y := testsound.NoiseWave(testsound.White, 48000, 96000, -20, 1),
		testsound.NoiseWave(testsound.White, 48000, 96000, -20, 2)
	minus, quiet := make([]float32, len(x)), make([]float32, len(x))
	for i := range x {
		minus[i], quiet[i] = -x[i], x[i]/2
	}
	inf := math.Inf(1)
	for _, test := range []struct {
		name                              string
		left, right                       []float32
		width, correlation, balance, loss float64
	}{
		{"alike", x, x, 0, 1, 0, 0},
		{"unrelated", x, y, 0.5, 0, 0, 3.01},
		{"opposite", x, minus, 1, -1, 0, inf},
		{"left only", x, make([]float32, len(x)), 0.5, math.NaN(), inf, 3.01},
		{"right halved", x, quiet, 0.1, 1, 6.02, 0.46}, // (½)²/((1½)²+(½)²); mid 0.5625, mean power 0.625
	} {
		m := withoutPitch(&decode.Sound{RateHz: 48000, Bits: 24, Channels: [][]float32{test.left, test.right}})
		for i, pair := range [][2]float64{{m.Width, test.width}, {m.Correlation, test.correlation},
			{m.BalanceDB, test.balance}, {m.MonoLossDB, test.loss}} {
			same := pair[0] == pair[1] || math.IsNaN(pair[0]) && math.IsNaN(pair[1])
			if !same && !testsound.Within(pair[0], pair[1], 0.05) {
				t.Errorf("%s: value %d is %.3f, want %.3f", test.name, i+1, pair[0], pair[1])
			}
		}
	}
	if m := withoutPitch(testtakes.Mono(48000, x)); m.Width != 0 || m.Correlation != 1 || m.MonoLossDB != 0 {
		t.Errorf("one channel: width %.3f, correlation %.3f, mono loss %.3f", m.Width, m.Correlation, m.MonoLossDB)
	}
}
