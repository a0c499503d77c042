// What a take does: struck, held or noisy.

package measure

const (
	struckDecayDBPerS = 4    // falls at least so fast
	slowDecayDBPerS   = 1    // falls so slowly but
	struckFallDB      = 12   // as far in all: low strings
	struckAttackSec   = 0.06 // rises at least so fast
	briefSec          = 0.25 // too short to be held
	noisyShare        = 0.3  // of the power between the partials
)

// kindOf tells the kind. A take is noisy without a pitch to rely on, unless it sounds of partials that are merely not
// harmonic or too many (bells, chords); else it is struck when it rises fast and falls from then on.
func kindOf(m *Measures) Kind {
	sec := m.EndSec - m.OnsetSec
	if !m.Pitch.Sure() && !m.Pitch.Several && m.Noisiness > noisyShare {
		return Noisy
	}
	if !(m.AttackSec <= struckAttackSec) {
		return Held
	}
	fall := m.DecayDBPerS * sec
	if m.DecayDBPerS >= struckDecayDBPerS || m.DecayDBPerS >= slowDecayDBPerS && fall >= struckFallDB || sec < briefSec {
		return Struck
	}
	return Held
}
