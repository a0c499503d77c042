// Seeded chance: every random number of a bed comes from here.

package arrange

import "math/rand/v2"

// chance is a seeded stream of random numbers, a stream of its own for each take and purpose.
type chance struct{ stream *rand.PCG }

// Purposes of a take's streams.
const (
	forPlace = iota + 1
	forTurns
	forVoice
	forStrokes
	forOrder
	forAudition
)

func newChance(seed uint64, purpose, take, voice int) chance {
	c := chance{rand.NewPCG(seed, uint64(purpose)<<56|uint64(uint32(take))<<8|uint64(uint8(voice)))}
	c.stream.Uint64() // neighbouring streams begin alike
	return c
}

// unit returns a number from 0 up to but not including 1.
func (c chance) unit() float64 { return float64(c.stream.Uint64()>>11) * (1.0 / (1 << 53)) }

func (c chance) between(low, high float64) float64 { return low + (high-low)*c.unit() }

// below returns a whole number from 0 up to but not including n; 0 if n is not positive.
func (c chance) below(n int) int { return int(c.unit() * float64(max(n, 0))) }

// order returns the numbers below n, shuffled.
func (c chance) order(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	for i := n - 1; i > 0; i-- {
		j := c.below(i + 1)
		out[i], out[j] = out[j], out[i]
	}
	return out
}
