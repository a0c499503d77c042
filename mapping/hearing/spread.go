// Spread: a sound excites the ear beside its own bands too.

package hearing

import "lapstrake/mapping/sound"

// What a band excites in others falls by so much an ERB.
const (
	upwardDB   = 12.0 // towards high frequencies
	downwardDB = 27.0 // towards low ones
)

var (
	upward   = sound.DBToPower(-upwardDB / bandsPerERB) // from a band to the next
	downward = sound.DBToPower(-downwardDB / bandsPerERB)
)

// Spread is what an excitation excites in all bands, its own among them. Spreads of sounds add as their powers do.
func (e *Excitation) Spread() (spread Excitation) {
	carried := 0.0
	for band, power := range e {
		carried = carried*upward + power
		spread[band] = carried
	}
	carried = 0
	for band := Bands - 1; band >= 0; band-- {
		spread[band] += carried
		carried = (carried + e[band]) * downward
	}
	return spread
}
