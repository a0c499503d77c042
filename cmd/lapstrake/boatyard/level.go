// The finished level of a bed: steady to the ear, and no peak above the ceiling.
package boatyard

import "math"

// level rides the gain so that the K-weighted RMS stays at target: slowly, over a second and a half, so that blows
// keep their shape. Twice, since a curve that smoothes cannot cancel all at once.
func (m *mixture) level(target float64) {
	const mostDB, windowSec, stepSec = 12.0, 1.5, 0.05
	step := max(m.frames(stepSec), 1)
	reach := int(windowSec / stepSec / 2)
	for range 2 {
		powers := m.heardPowers(step, m.rate())
		mean := 0.0
		for _, p := range powers {
			mean += p / float64(len(powers))
		}
		gains := make([]float64, len(powers))
		for k := range gains {
			var sum, weights float64
			for j := max(0, k-reach); j <= min(len(powers)-1, k+reach); j++ {
				w := 1 + math.Cos(math.Pi*float64(j-k)/float64(reach+1))
				sum += w * powers[j]
				weights += w
			}
			relative := math.Sqrt(mean * weights / (sum + 1e-18))
			gains[k] = target / math.Sqrt(mean+1e-18) * min(max(relative, dB(-mostDB)), dB(mostDB))
		}
		m.ride(gains, step)
	}
}

// ride applies gains given at the middles of steps, straight lines between.
func (m *mixture) ride(gains []float64, step int) {
	for i := range m.left {
		at := float64(i)/float64(step) - 0.5
		k := min(max(int(at), 0), len(gains)-1)
		next := min(k+1, len(gains)-1)
		share := min(max(at-float64(k), 0), 1)
		g := gains[k] + share*(gains[next]-gains[k])
		m.left[i] *= g
		m.right[i] *= g
	}
}

// limit turns both channels down around peaks above the ceiling: down over 5 ms before a peak, back with a time
// constant of 120 ms, so that it is not heard as distortion. It reports whether there was any.
func (m *mixture) limit(ceiling float64) bool {
	if max(highest(m.left), highest(m.right)) <= ceiling {
		return false
	}
	ahead := max(m.frames(0.005), 1)
	back := math.Exp(-1 / (0.12 * m.rate()))
	defer m.memory.back(m.memory.mark())
	down := m.memory.floats(len(m.left)) // how far below 1 the gain must be at each frame
	for i := range down {
		if top := max(math.Abs(m.left[i]), math.Abs(m.right[i])); top > ceiling {
			down[i] = 1 - ceiling/top
		}
	}
	// Backwards: a peak asks for a straight line that reaches its depth at the peak.
	slope := 0.0
	for i := len(down) - 1; i > 0; i-- {
		if down[i] > 0 {
			slope = max(slope, down[i]/float64(ahead))
		} else {
			slope = 0
		}
		down[i-1] = max(down[i-1], down[i]-slope)
	}
	held := 0.0
	for i, d := range down {
		held = max(d, held*back)
		m.left[i] *= 1 - held
		m.right[i] *= 1 - held
	}
	return true
}
