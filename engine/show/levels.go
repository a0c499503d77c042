// The level of a sound over time.

package show

import (
	"math"

	"lapstrake/mapping/sound"
)

// FloorDB is the level that stands for silence. No level is told below it.
const FloorDB = -120

// Level is how loud a stretch of sound is, both channels together: at least FloorDB. A square wave of full scale has
// 0 dBFS in both measures.
type Level struct {
	PeakDBFS float64 // the highest sample
	RMSDBFS  float64
}

// Levels measures a sound as it comes, block by block. It keeps a measure for each tenth of a second.
type Levels struct {
	rateHz int
	cells  []levelCell
	frames int64
}

// cellsPerSec is how many measures a second Levels keeps.
const cellsPerSec = 10

// levelCell is a stretch of sound as it is measured.
type levelCell struct {
	squares float64 // sum over all samples
	peak    float64
	frames  int64
}

// NewLevels begins to measure a sound of rateHz frames a second.
func NewLevels(rateHz int) *Levels { return &Levels{rateHz: rateHz} }

// Add measures the next interleaved stereo frames.
func (l *Levels) Add(frames []float32) {
	for i := 0; i < len(frames); i += 2 {
		if l.frames*cellsPerSec >= int64(len(l.cells))*int64(l.rateHz) {
			l.cells = append(l.cells, levelCell{})
		}
		cell := &l.cells[len(l.cells)-1]
		left, right := float64(frames[i]), float64(frames[i+1])
		cell.squares += left*left + right*right
		cell.peak = max(cell.peak, math.Abs(left), math.Abs(right))
		cell.frames++
		l.frames++
	}
}

// Seconds returns how long the sound is so far.
func (l *Levels) Seconds() float64 { return float64(l.frames) / float64(l.rateHz) }

// Whole returns the level of the whole sound so far.
func (l *Levels) Whole() Level { return levelOf(l.cells) }

// Each returns the level of each tenths of a second from the start on; the last stretch may be shorter. tenths is 1 or
// more.
func (l *Levels) Each(tenths int) []Level {
	var levels []Level
	for from := 0; from < len(l.cells); from += tenths {
		levels = append(levels, levelOf(l.cells[from:min(from+tenths, len(l.cells))]))
	}
	return levels
}

func levelOf(cells []levelCell) Level {
	var whole levelCell
	for _, cell := range cells {
		whole.squares += cell.squares
		whole.peak = max(whole.peak, cell.peak)
		whole.frames += cell.frames
	}
	meanSquare := whole.squares / float64(max(2*whole.frames, 1))
	return Level{max(sound.AmplitudeDB(whole.peak), FloorDB), max(sound.PowerDB(meanSquare), FloorDB)}
}
