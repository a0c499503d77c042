// All that decides what an engine plays from a frame on, but for the events to come: it can be kept, and gone on from.

package engine

import "lapstrake/voices"

// MomentFrames is how many frames lie between the moments that an engine tells.
const MomentFrames = 1 << 15

// Moment is the state of an engine between two cells, but for the ceiling: that has found its way again after
// SettleSec.
type Moment struct {
	Frame     int64        `json:"frame"`      // of the next cell
	MapNumber int          `json:"map_number"` // of the map that the next note begins on
	Presses   int64        `json:"presses"`    // of keys so far: the stagger may count them
	Controls  ControlState `json:"controls"`
	Notes     []KeptNote   `json:"notes"` // in the order in which they began
	Parts     []KeptPart   `json:"parts"` // of the notes, one note's after the other's
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
	Envelope   voices.EnvelopeState `json:"envelope"`
	Parts      int                  `json:"parts"` // how many are its own
}

// KeptPart is one cycle of a note.
type KeptPart struct {
	Zone         int     `json:"zone"`          // index in the map
	Layer        int     `json:"layer"`         // index in the map
	StartFrame   int64   `json:"start_frame"`   // of the cycle, at which the note began
	CycleFrames  int64   `json:"cycle_frames"`  // in one turn
	PlayedFrames int64   `json:"played_frames"` // since the note began, whole ones
	Fraction     uint32  `json:"fraction"`      // of a frame beyond them, in 2⁻³²
	Flow         float32 `json:"flow"`          // 1 while all frames come
}

// makeMoments gives each moment room for so many notes and parts.
func makeMoments(h *handover[Moment], count int) {
	for i := range h.copies {
		h.copies[i].Notes = make([]KeptNote, 0, count)
		h.copies[i].Parts = make([]KeptPart, 0, count)
	}
	h.init()
}

// Moment copies the newest moment into dst, whose memory it uses again. An engine tells one before it begins, and then
// one each MomentFrames. Any goroutine but the audio thread.
func (e *Engine) Moment(dst *Moment) {
	e.moments.read(func(newest *Moment) {
		notes, parts := append(dst.Notes[:0], newest.Notes...), append(dst.Parts[:0], newest.Parts...)
		*dst = *newest
		dst.Notes, dst.Parts = notes, parts
	})
}

// publishMoment hands over a moment. Audio thread: no allocation, lock, system call or log.
func (e *Engine) publishMoment() {
	m := e.moments.draw()
	m.Frame, m.MapNumber, m.Presses, m.Controls = e.frame, e.now.number, e.presses, e.control.state()
	m.Notes, m.Parts = m.Notes[:0], m.Parts[:0]
	for _, n := range e.sounding {
		if n.follows != nil {
			continue // is not heard yet
		}
		m.Notes = append(m.Notes, KeptNote{
			MapNumber: n.on.number, Key: n.key, Channel: n.channel, Velocity: n.velocity, BeganFrame: n.beganFrame,
			Down: n.down, Captured: n.captured, Envelope: n.envelope.State(), Parts: len(n.parts),
		})
		for _, i := range n.parts {
			p := &e.parts[i]
			m.Parts = append(m.Parts, KeptPart{p.zone, p.layer, p.startFrame, p.cycleFrames, p.voice.Frame,
				p.voice.Fraction, p.flow})
		}
	}
	e.moments.publish()
}
