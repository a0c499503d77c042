package arrange

import (
	"math"
	"testing"

	"lapstrake/mapping/sound"
)

// Where a sharp take strikes now and then, what goes on beneath it keeps the bed from falling silent between its
// strokes.
func TestNoHolesBetweenStrokes(t *testing.T) {
	parts := []Part{pluck(1760, 0.05, 1), pluck(1175, 0.05, 4), tone(220, 5, 8, 2), tone(220, 4, 3, 3)}
	for seed := range uint64(8) {
		bed := arranged(t, parts, 15, seed)
		whole := sound.MeanSquare(bed.Left) + sound.MeanSquare(bed.Right)
		const window = testRate / 2
		for from := 0; from+window <= len(bed.Left); from += window / 2 {
			power := sound.MeanSquare(bed.Left[from:][:window]) + sound.MeanSquare(bed.Right[from:][:window])
			if below := sound.PowerDB(whole / power); below > 13 || math.IsNaN(below) {
				t.Errorf("seed %d: half a second from %.2f s on lies %.1f dB below the bed", seed,
					float64(from)/testRate, below)
			}
		}
	}
}
