// What a take does: struck, held or noisy.

package measure

import "math"

const (
	struckDecayDBPerS = 4     // falls at least so fast
	slowDecayDBPerS   = 1     // falls so slowly but
	struckFallDB      = 12    // as far in all: low strings
	struckAttackSec   = 0.06  // rises at least so fast
	blownAttackSec    = 0.024 // what is blown or bowed takes longer to rise,
	blownPeriods      = 1.5   // and longer than so many periods of its pitch, which a low string takes too,
	blownDecayDBPerS  = 8     // and falls no faster, as where a player lets a note sink
	briefSec          = 0.25  // too short to be held
	noisyShare        = 0.3   // of the power between the partials
	noisyShareLess    = 0.2   // the same of a sound whose pitch wanders
	noisyShareAlone   = 0.8   // the same of a sound that is noise, however many pitches are found in it
	wanderingCents    = 200   // what is found in noise moves more than this; bells, chords and vibrato do not
)

// kindOf tells the kind. A take is noisy when it is noise, as isNoise tells; else it is struck when it rises fast and
// falls from then on, but for what rises as slowly as brass does (Risset & Mathews 1969: 20 to 60 ms; strings that are
// struck or plucked reach their height within 20 ms or a period) and sinks gently.
func kindOf(m *Measures) Kind {
	sec := m.EndSec - m.OnsetSec
	if isNoise(m) {
		return Noisy
	}
	if !(m.AttackSec <= struckAttackSec) {
		return Held
	}
	if blown := max(blownAttackSec, blownPeriods/m.Pitch.Hz); m.Pitch.Sure() && m.AttackSec > blown &&
		m.DecayDBPerS < blownDecayDBPerS && sec >= briefSec {
		return Held
	}
	fall := m.DecayDBPerS * sec
	if m.DecayDBPerS >= struckDecayDBPerS || m.DecayDBPerS >= slowDecayDBPerS && fall >= struckFallDB ||
		sec < briefSec {
		return Struck
	}
	return Held
}

// isNoise says whether a take has no pitch to rely on and is not made of partials either. Partials that are merely not
// harmonic or too many (bells, chords) are no noise; but in noise, too, several pitches are found at times, and those
// wander.
func isNoise(m *Measures) bool {
	p := &m.Pitch
	switch wanders := p.DriftCents > wanderingCents; {
	case p.Sure():
		return false
	case math.IsNaN(p.Hz): // not a single partial
		return true
	case wanders:
		return m.Noisiness > noisyShareLess
	case p.Several:
		return m.Noisiness > noisyShareAlone
	}
	return m.Noisiness > noisyShare
}
