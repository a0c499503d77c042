// One cycle sounding in a note.

package engine

import (
	"math"

	"lapstrake/engine/stream"
	"lapstrake/mapping"
	"lapstrake/voices"
)

// part is one cycle sounding in a note.
type part struct {
	voice voices.Voice
	feed  *stream.Feed
	zone  int
	layer int
	base  uint64   // step without bend
	to    uint64   // where base is on its way to
	share approach // gain of the zone at the note's key
	plain float64  // the same without the zone's nudge
	open  float64  // how far it sounds among what is alone or silent, 0 to 1; unopened before it has begun

	startFrame, cycleFrames int64 // of the cycle

	flow   float32 // 1 while frames come, 0 while they are missed
	fading bool    // on its way to 0, on the frames that the feed kept back for that
	gain   float32 // reached at the end of the last stretch
}

func (p *part) render(mixer *voices.Mixer, out []float32, keep *keeping, bend0, bend1 float64, gain0, gain1 float32) {
	var dstep int64
	frames := len(out) / 2
	p.voice.Step = bentStep(p.base, bend0)
	glides := p.base != p.to
	if glides {
		p.glideBase(keep, frames)
	}
	if bend0 != bend1 || glides {
		dstep = (int64(bentStep(p.base, bend1)) - int64(p.voice.Step)) / int64(frames)
	}
	from, to := p.voice.Span(mixer, frames, dstep)
	flow0 := p.flow
	p.moveFlow(frames, !p.fading && p.feed.Ready(from, to, p.voice.Step))
	p.gain = gain1 * p.flow
	p.voice.Render(mixer, p.feed, out, dstep, gain0*flow0, p.gain)
}

// mostFadeCells is how many cells of the grid a voice takes to fade where frames are missing: 11 ms at 48 kHz.
const mostFadeCells = 8

// moveFlow takes some cells of the grid for the whole way, however events cut them: fewer where a fast voice would
// come to the end of the frames that are left.
func (p *part) moveFlow(frames int, ready bool) {
	left := int(stream.KeptFrames << 32 / max(CellFrames*p.voice.Step, 1))
	way := float32(frames) / float32(CellFrames*min(max(left-1, 1), mostFadeCells))
	if ready {
		p.flow = min(p.flow+way, 1)
		return
	}
	p.flow = max(p.flow-way, 0)
	p.fading = p.flow > 0
}

func bentStep(base uint64, ratio float64) uint64 {
	if ratio == 1 {
		return base
	}
	return uint64(min(float64(base)*ratio, voices.MaxStep*mapping.OneFrame))
}

// ratioOf is the ratio of speeds of an interval in semitones.
func ratioOf(semitones float64) float64 {
	if semitones == 0 {
		return 1
	}
	return math.Exp2(semitones / 12)
}
