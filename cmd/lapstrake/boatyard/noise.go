// Seeded chance: every random number of the demo comes from here, so that a sound is the same each time it is made.

package boatyard

import (
	"hash/fnv"
	"math"
	"math/rand/v2"
)

// noise is a seeded stream of random numbers.
type noise struct{ source *rand.PCG }

func newNoise(seed, stream uint64) *noise {
	return &noise{rand.NewPCG(seed, stream)}
}

// streamOf turns a name into the number of its own random stream.
func streamOf(name string) uint64 {
	h := fnv.New64a()
	h.Write([]byte(name)) // an FNV hash never returns an error
	return h.Sum64()
}

// unit returns a number from 0 up to but not including 1.
func (n *noise) unit() float64 {
	return float64(n.source.Uint64()>>11) * (1.0 / (1 << 53))
}

func (n *noise) between(low, high float64) float64 {
	return low + (high-low)*n.unit()
}

// decibels returns a gain between −range and +range dB.
func (n *noise) decibels(rangeDB float64) float64 {
	return dB(n.between(-rangeDB, rangeDB))
}

// white fills out with uniform white noise of RMS 1, two samples a draw.
func (n *noise) white(out []float64) {
	const scale = math.Sqrt2 * 1.2247448713915890 / (1 << 31) // √3: the RMS of a uniform ±1 is 1/√3
	i := 0
	for ; i+1 < len(out); i += 2 {
		u := n.source.Uint64()
		out[i] = float64(int32(u)) * scale
		out[i+1] = float64(int32(u>>32)) * scale
	}
	if i < len(out) {
		out[i] = float64(int32(n.source.Uint64())) * scale
	}
}

// dB turns decibels into a gain.
func dB(decibels float64) float64 {
	return math.Exp(decibels * (math.Ln10 / 20))
}
