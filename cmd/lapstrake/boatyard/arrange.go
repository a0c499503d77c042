// Where in a bed each take sounds: turns for held ones, scattered blows for struck ones, a layer of noise under all.
package boatyard

import "math"

// takeTurns lets held makers follow one another in two lanes, equal-power crossfades of joinSec inside each; the
// lanes change over at different times, so the bed is never made of one sound. gain is the heard RMS of each lane.
func (m *mixture) takeTurns(makers []Maker, joinSec, gain float64) {
	if len(makers) == 0 {
		return
	}
	const turnSec = 2.7 // from one change to the next, in either lane
	// A change ends a turn of one lane and starts the next one there: turn k runs from starts[k] to
	// starts[k+2] + joinSec. The first two are already under way.
	starts := []float64{0, 0}
	for t := turnSec * m.noise.between(0.5, 1); t < m.seconds; t += turnSec * m.noise.between(0.75, 1.25) {
		starts = append(starts, t)
	}
	first := int(m.noise.unit() * float64(len(makers)))
	for k, start := range starts {
		end, fadeOut := m.seconds+1, 0.0
		if k+2 < len(starts) {
			end, fadeOut = starts[k+2]+joinSec, joinSec
		}
		fadeIn := joinSec
		if k < 2 {
			fadeIn = 0
		}
		maker := makers[(first+k)%len(makers)]
		side := float64(1 - 2*(k%2))
		before := m.memory.mark()
		turn := m.take(maker, end-start)
		turn.place(side * m.noise.between(0.4, 0.85))
		edge := min(m.frames(0.6), len(turn.left)/4) // lead-in and release say nothing about the level
		turn.fade(m.frames(fadeIn), m.frames(fadeOut))
		m.add(turn, m.frames(start), gain/max(turn.part(edge, len(turn.left)-edge).heard(m.rate()), 1e-9))
		m.memory.back(before)
	}
}

// scatter strews a struck maker over the bed, unevenly and at uneven strength. As with any recording it is a handful
// of takes that come again and again, each at a place of its own around one side. gain is the heard RMS of all its
// blows together.
func (m *mixture) scatter(maker Maker, place, gain float64) {
	const handful = 7
	defer m.memory.back(m.memory.mark())
	stem := &stereo{m.memory.floats(len(m.left)), m.memory.floats(len(m.left))}
	var hits [handful]*stereo
	for i := range hits {
		frames := m.frames(maker.tailSec)
		hits[i] = &stereo{m.memory.space(frames), m.memory.space(frames)}
		before := m.memory.mark()
		take := m.take(maker, maker.tailSec)
		take.place(max(-1, min(1, place+m.noise.between(-0.15, 0.15))))
		take.fade(0, min(m.frames(0.4), frames/2))
		copy(hits[i].left, take.left)
		copy(hits[i].right, take.right)
		m.memory.back(before)
	}
	last := 0
	for t := -maker.everySec * m.noise.unit(); t < m.seconds; {
		last = (last + 1 + int(m.noise.unit()*(handful-1))) % handful // never one twice running
		stem.add(hits[last], m.frames(t), m.noise.decibels(3))
		t += maker.everySec * (0.35 + 1.3*m.noise.unit()*m.noise.between(0.5, 1.5))
	}
	m.add(stem, 0, gain/max(stem.heard(m.rate()), 1e-9))
}

// lay puts a noisy maker under the whole bed.
func (m *mixture) lay(maker Maker, gain float64) {
	defer m.memory.back(m.memory.mark())
	take := m.take(maker, m.seconds+1)
	m.add(take, 0, gain/max(take.heard(m.rate()), 1e-9))
}

// take has a maker play once more; what it returns lasts until the memory goes back.
func (m *mixture) take(maker Maker, seconds float64) *stereo {
	return maker.perform(m.memory, m.rootKey, max(m.frames(seconds), 1), m.rateHz, m.noise.source.Uint64())
}

func (m *mixture) frames(seconds float64) int {
	return int(math.Round(seconds * m.rate()))
}

func (m *mixture) rate() float64 { return float64(m.rateHz) }
