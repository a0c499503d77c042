// All that decides what an engine plays from a frame on, but for the events to come: it can be kept, and gone on from.

package engine

import (
	"lapstrake/mapping"
	"lapstrake/voices"
)

// MomentFrames is how many frames lie between the moments that an engine tells.
const MomentFrames = 1 << 15

// Moment is the state of an engine between two cells, but for the ceiling: that has found its way again after
// SettleSec.
type Moment struct {
	Frame int64 `json:"frame"` // of the next cell
	// of the variant that the next note begins on, as Variant has it
	MapNumber int                           `json:"map_number"`
	Presses   [mapping.HighestKey + 1]int64 `json:"presses"` // of each key so far: the stagger may count them
	Controls  ControlState                  `json:"controls"`
	Channels  [16]ChannelState              `json:"channels"`
	Members   [2]int                        `json:"members"` // of the lower and of the upper zone of MPE
	Retuned   Retuned                       `json:"retuned"`
	Alone     [facets]MemberSet             `json:"alone"`
	Silent    [facets]MemberSet             `json:"silent"`
	Notes     []KeptNote                    `json:"notes"` // in the order in which they began
	Parts     []KeptPart                    `json:"parts"` // of the notes, one note's after the other's
}

// KeptNote is one note of a moment.
type KeptNote struct {
	MapNumber  int                  `json:"map_number"`
	Key        int                  `json:"key"`
	Channel    int                  `json:"channel"` // 0 to 15
	Velocity   int                  `json:"velocity"`
	BeganFrame int64                `json:"began_frame"`
	Down       bool                 `json:"down"`
	Captured   bool                 `json:"captured"` // by the sostenuto pedal
	Pressure   int                  `json:"pressure"`
	Gain       float64              `json:"gain"`  // velocity and headroom
	Pitch      SlowValue            `json:"pitch"` // semitones above the cycles' own
	OwnPitch   float64              `json:"own_pitch"`
	Place      SlowValue            `json:"place"` // between the layers
	Envelope   voices.EnvelopeState `json:"envelope"`
	Parts      int                  `json:"parts"` // how many are its own
}

// KeptPart is one cycle of a note.
type KeptPart struct {
	Zone         int     `json:"zone"`          // index in the map
	Layer        int     `json:"layer"`         // index in the map
	Base         uint64  `json:"base"`          // 32.32 frames of the cycle for each frame of output, without bend
	Share        float64 `json:"share"`         // gain of the zone at the key
	Open         float64 `json:"open"`          // among what is alone or silent
	StartFrame   int64   `json:"start_frame"`   // of the cycle, at which the note began
	CycleFrames  int64   `json:"cycle_frames"`  // in one turn
	PlayedFrames int64   `json:"played_frames"` // since the note began, whole ones
	Fraction     uint32  `json:"fraction"`      // of a frame beyond them, in 2⁻³²
	Flow         float32 `json:"flow"`          // 1 while all frames come
}

// drawnMoment is a moment as the audio thread draws it.
type drawnMoment struct {
	Moment
	tunings tunings // where any tuning message has come
}

// makeMoments gives each moment room for so many notes and parts.
func makeMoments(h *handover[drawnMoment], count int) {
	for i := range h.copies {
		h.copies[i].Notes = make([]KeptNote, 0, count)
		h.copies[i].Parts = make([]KeptPart, 0, count)
		h.copies[i].tunings.init()
	}
	h.init()
}

// Moment copies the newest moment into dst, whose memory it uses again. An engine tells one before it begins, and then
// one each MomentFrames. Any goroutine but the audio thread.
func (e *Engine) Moment(dst *Moment) {
	e.moments.read(func(newest *drawnMoment) {
		notes, parts := append(dst.Notes[:0], newest.Notes...), append(dst.Parts[:0], newest.Parts...)
		*dst = newest.Moment
		dst.Notes, dst.Parts, dst.Retuned = notes, parts, newest.tunings.state()
	})
}

// publishMoment hands over a moment. Audio thread: no allocation, lock, system call or log.
func (e *Engine) publishMoment() {
	m := e.moments.draw()
	m.Frame, m.MapNumber, m.Presses, m.Controls = e.frame, e.now.variant, e.presses, e.control.state()
	for i := range e.channels {
		m.Channels[i] = e.channels[i].state()
	}
	m.Members = [2]int{e.zones.lower, e.zones.upper}
	if e.tunings.touched {
		m.tunings = e.tunings
	}
	for of := range facets {
		m.Alone[of], m.Silent[of] = MemberSet(e.picked.alone[of]), MemberSet(e.picked.silent[of])
	}
	m.Notes, m.Parts = m.Notes[:0], m.Parts[:0]
	for _, n := range e.sounding {
		if n.follows != nil {
			continue // is not heard yet
		}
		m.Notes = append(m.Notes, n.kept())
		for _, i := range n.parts {
			p := &e.parts[i]
			m.Parts = append(m.Parts, KeptPart{p.zone, p.layer, p.base, p.share.value, p.open,
				p.startFrame, p.cycleFrames, p.voice.Frame, p.voice.Fraction, p.flow})
		}
	}
	e.moments.publish()
}

func (n *note) kept() KeptNote {
	return KeptNote{
		MapNumber: n.on.variant, Key: n.key, Channel: n.channel, Velocity: n.velocity, BeganFrame: n.beganFrame,
		Down: n.down, Captured: n.captured, Pressure: n.pressure, Gain: n.gain, Pitch: n.pitch.state(),
		OwnPitch: n.ownPitch, Place: n.place.state(), Envelope: n.envelope.State(), Parts: len(n.parts),
	}
}
