// The level of a note over time: attack, hold, release, and the short fade by which a stolen note ends.

package voices

import "math"

// Envelope is the level of one note, 0 to 1. All times are in output frames.
type Envelope struct {
	AttackFrames  int // from silence to full level, along a raised cosine
	ReleaseFrames int // in which a released note falls by 60 dB

	stage stage
	at    int     // frames since the stage began
	from  float64 // level at which the stage began
	last  int     // frames of the closing fade
	level float64
}

type stage int

const (
	ended stage = iota
	attacking
	holding
	releasing
	fading
)

// silentLevel ends a release: −120 dB.
const silentLevel = 1e-6

// Begin starts the note from silence.
func (e *Envelope) Begin() {
	e.stage, e.at, e.from, e.level = attacking, 0, 0, 0
}

// Release lets the note fall from where it is.
func (e *Envelope) Release() {
	if e.stage == attacking || e.stage == holding {
		e.stage, e.at, e.from = releasing, 0, e.level
	}
}

// Fade ends the note from where it is within frames, along a half cosine.
func (e *Envelope) Fade(frames int) {
	if e.stage != ended && e.stage != fading {
		e.stage, e.at, e.from, e.last = fading, 0, e.level, max(frames, 1)
	}
}

// Level returns the present level.
func (e *Envelope) Level() float64 { return e.level }

// Ended, Released and Fading tell the stage; a fading note counts as released.
func (e *Envelope) Ended() bool    { return e.stage == ended }
func (e *Envelope) Released() bool { return e.stage == releasing || e.stage == fading }
func (e *Envelope) Fading() bool   { return e.stage == fading }

// Advance moves the envelope on by frames and returns the level there. A level depends on the frames since the stage
// began alone, not on the steps in which they were taken.
func (e *Envelope) Advance(frames int) float64 {
	e.at += frames
	switch e.stage {
	case attacking:
		if e.at >= e.AttackFrames {
			e.stage, e.level = holding, 1
		} else {
			e.level = raisedCosine(float64(e.at) / float64(e.AttackFrames))
		}
	case releasing:
		e.level = e.from * math.Pow(10, -3*float64(e.at)/float64(max(e.ReleaseFrames, 1)))
		if e.level < silentLevel {
			e.stage, e.level = ended, 0
		}
	case fading:
		if e.at >= e.last {
			e.stage, e.level = ended, 0
		} else {
			e.level = e.from * raisedCosine(1-float64(e.at)/float64(e.last))
		}
	}
	return e.level
}

// raisedCosine rises from 0 to 1 without a corner at either end.
func raisedCosine(part float64) float64 { return 0.5 - 0.5*math.Cos(math.Pi*part) }

// EnvelopeState is all of an envelope at one moment.
type EnvelopeState struct {
	AttackFrames  int     `json:"attack_frames"`
	ReleaseFrames int     `json:"release_frames"`
	Stage         int     `json:"stage"` // 0 ended, 1 attack, 2 held, 3 release, 4 the closing fade
	AtFrames      int     `json:"at_frames"`
	From          float64 `json:"from"` // level at which the stage began
	LastFrames    int     `json:"last_frames"`
	Level         float64 `json:"level"`
}

// State is where the envelope stands.
func (e *Envelope) State() EnvelopeState {
	return EnvelopeState{e.AttackFrames, e.ReleaseFrames, int(e.stage), e.at, e.from, e.last, e.level}
}

// GoOn is an envelope that goes on from a state; ok is false for a state in which none can be.
func (s EnvelopeState) GoOn() (e Envelope, ok bool) {
	level := func(x float64) bool { return x >= 0 && x <= 1 }
	ok = min(s.AttackFrames, s.ReleaseFrames, s.AtFrames, s.LastFrames) >= 0 && s.Stage >= int(ended) &&
		s.Stage <= int(fading) && level(s.From) && level(s.Level)
	return Envelope{s.AttackFrames, s.ReleaseFrames, stage(s.Stage), s.AtFrames, s.From, s.LastFrames, s.Level}, ok
}
