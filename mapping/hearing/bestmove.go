// Which transposition fits sound best to the harmonics of a root.

package hearing

import "math"

// BestMove looks for the transposition, from -span to span semitones, that leaves the least of the sound off the
// harmonics of a root, and of those alike the smoothest; near ones are preferred, a semitone counts as 1 % off the
// grid. It returns that move and what lies where then.
func BestMove(moments []Moment, rootHz, span float64) (semitones float64, after Grid) {
	const step, fine = 0.25, 0.05
	best := math.Inf(1)
	try := func(move float64) {
		moved := make([]Moment, len(moments))
		for i, m := range moments {
			moved[i] = m.Moved(math.Exp2(move/12), 1)
		}
		g := OnGrid(moved, rootHz)
		if cost := g.cost() + 0.01*math.Abs(move); cost < best {
			best, semitones, after = cost, move, g
		}
	}
	for move := -span; move <= span; move += step {
		try(move)
	}
	around := semitones
	for move := max(around-step, -span); move <= min(around+step, span); move += fine {
		try(move)
	}
	return semitones, after
}

// cost is what is wrong with a place on the grid: power off it, roughness, and, where all is on it, cents.
func (g Grid) cost() float64 {
	cost := g.OffShare + 0.2*g.Roughness
	if !math.IsNaN(g.Cents) {
		cost += math.Abs(g.Cents) / onGridCents / 5
	}
	return cost
}
