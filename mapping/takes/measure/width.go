// How wide a take is: its two sides against each other.

package measure

import (
	"math"

	"lapstrake/mapping/sound"
	"lapstrake/mapping/takes/decode"
)

// measureWidth fills in width, correlation, balance and mono loss, from the powers of left and right and their
// product over the whole take (more than two channels: of the downmix). Width is the power of the side (left−right)/2
// over that of mid and side together.
func measureWidth(s *decode.Sound, m *Measures) {
	left, right := s.Stereo()
	ll, rr, lr := sound.SumsOfProducts(left, right)
	if ll+rr == 0 {
		return
	}
	mid, side := (ll+rr+2*lr)/4, max(0, (ll+rr-2*lr)/4)
	m.Width = side / (mid + side)
	m.BalanceDB = sound.PowerDB(ll / rr)
	m.MonoLossDB = max(0, sound.PowerDB((ll+rr)/2/mid))
	if mid <= 0 {
		m.MonoLossDB = math.Inf(1)
	}
	if ll > 0 && rr > 0 {
		m.Correlation = max(-1, min(lr/math.Sqrt(ll*rr), 1))
	}
}
