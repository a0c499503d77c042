// What a builder should know about a take before using it.

package measure

import "math"

// Flag is a short remark on a take, as it stands in the sheet.
type Flag string

// Flags that follow from the measures, and some that the intake sets because it knows names and contents.
const (
	Empty          Flag = "empty"           // no frames
	Silent         Flag = "silent"          // nothing above −80 dBFS
	Clipped        Flag = "clipped"         // samples held at the highest level
	LongTake       Flag = "long"            // only a part of it is looked at and used
	TooShort       Flag = "too short"       // the sound lasts less than 50 ms
	SeveralPitches Flag = "several pitches" // a chord
	SeveralStrikes Flag = "several strikes" // the sound sets in more than once
	// somebody speaks before or after the sound, and onset and end leave it out; or all the time
	Speech       Flag = "speech"
	UnsurePitch  Flag = "unsure pitch"    // struck or held, but no pitch to rely on
	Drifting     Flag = "drifting pitch"  // by more than 50 cents
	HasDC        Flag = "DC"              // offset above 1 % of full scale
	Hum          Flag = "hum"             // of the mains, less than 50 dB under the sound
	NoisyTake    Flag = "noise"           // less than 20 dB under the sound
	StartCut     Flag = "start cut off"   // a held sound at full level from the first frame
	MonoInStereo Flag = "mono in stereo"  // two channels alike
	OneSided     Flag = "one side silent" // of two channels
	OutOfPhase   Flag = "out of phase"    // the mono sum loses more than 6 dB
	ManyChannels Flag = "mixed down"      // more than two channels
	LowRate      Flag = "low rate"        // below 32 kHz: dull
	HighRate     Flag = "high rate"       // above 96 kHz
	FewBits      Flag = "few bits"        // below 16
	// the same recording as another take: the same file, or the same sound in another
	Duplicate   Flag = "duplicate"
	WrongOctave Flag = "wrong octave" // the name says the measured note in another octave
	WrongNote   Flag = "wrong note"   // the name says another note than the measured one
)

// Limits that are common practice.
const (
	tooShortSec     = 0.05
	clippedRuns     = 3
	clippedLongMs   = 0.2
	driftingCents   = 50
	offsetPercent   = 1
	humBelowSoundDB = 50
	cutOnsetSec     = 0.003
	cutAttackSec    = 0.02
	noiseBelowDB    = 20
	oneSidedDB      = 40
	outOfPhaseDB    = 6
	alikeWidth      = 1e-6 // the side 60 dB under the whole
	lowRateHz       = 32000
	highRateHz      = 96000
	fewBits         = 16
)

// Flags gives the flags that follow from the measures, in the order above.
func (m *Measures) Flags() []Flag {
	if m.Channels == 0 || m.Seconds == 0 {
		return []Flag{Empty}
	}
	var flags []Flag
	for _, f := range []struct {
		flag Flag
		is   bool
	}{
		{Silent, math.IsNaN(m.OnsetSec)},
		{Clipped, m.ClippedRuns >= clippedRuns || m.ClippedMs >= clippedLongMs},
		{LongTake, m.Long()},
		{TooShort, m.EndSec-m.OnsetSec < tooShortSec},
		{SeveralPitches, m.Kind != Noisy && m.Pitch.Several},
		{SeveralStrikes, m.Kind != Noisy && m.Strikes > 1},
		{Speech, m.Speech},
		{UnsurePitch, m.Kind != Noisy && !m.Pitch.Several && !m.Pitch.Sure()},
		{Drifting, m.Pitch.Sure() && m.Pitch.DriftCents > driftingCents},
		{HasDC, math.Abs(m.DCPercent) > offsetPercent},
		{Hum, m.HumMainsHz > 0 && m.soundDBFS()-m.HumDBFS < humBelowSoundDB},
		{NoisyTake, m.SNRDB < noiseBelowDB && (m.NoiseFromPauses || m.Kind != Noisy)},
		{StartCut, m.Kind == Held && m.OnsetSec < cutOnsetSec && m.AttackSec < cutAttackSec},
		{MonoInStereo, m.Channels == 2 && m.Width < alikeWidth},
		{OneSided, m.Channels == 2 && math.Abs(m.BalanceDB) > oneSidedDB},
		{OutOfPhase, m.Channels >= 2 && m.MonoLossDB > outOfPhaseDB},
		{ManyChannels, m.Channels > 2},
		{LowRate, m.RateHz < lowRateHz},
		{HighRate, m.RateHz > highRateHz},
		{FewBits, m.Bits > 0 && m.Bits < fewBits},
	} {
		if f.is {
			flags = append(flags, f.flag)
		}
	}
	return flags
}

// soundDBFS is the level from onset to end, which SNR and floor tell together.
func (m *Measures) soundDBFS() float64 { return m.NoiseFloorDBFS + m.SNRDB }
