// A picture of what sounds, cycle by cycle, that leaves the audio thread without a lock or an allocation.

package engine

// Snapshot is what sounds at one frame.
type Snapshot struct {
	// Frame is how many frames had been rendered. It counts as events do; what is heard comes LatencyFrames later.
	Frame int64
	// Cycles are all that sound, in the order in which their notes began; those of one note stand together. There are
	// at most as many as the map's polyphony and the fading notes beyond it.
	Cycles []SoundingCycle
}

// SoundingCycle is one cycle of one note.
type SoundingCycle struct {
	Key     int
	Channel int // 0 to 15
	// of the map: 0 the first, a higher one for each Reload without an error, the same for its variants
	MapNumber  int
	Zone       int   // index in the map
	Layer      int   // index in the map
	BeganFrame int64 // of the note, counted as Snapshot.Frame

	StartFrame   int64  // of the cycle, at which the note began
	CycleFrames  int64  // in one turn
	PlayedFrames int64  // of the cycle since the note began, whole ones
	Fraction     uint32 // of a frame beyond them, in 2⁻³²
	AtFrame      int64  // of the cycle, at which it stands now: 0 up to CycleFrames
	Step         uint64 // frames of the cycle for each frame of output, in 32.32 fixed point

	State NoteState
	Level float64 // of the note's envelope, 0 to 1
	Gain  float32 // of the frames, all in all; 0 while they are missed
}

// NoteState says what keeps a note sounding.
type NoteState uint8

// What keeps a note sounding.
const (
	NoteDown     NoteState = iota // its key
	NotePedal                     // the hold or the sostenuto pedal; the key is up
	NoteReleased                  // nothing: it falls in the map's release time
	NoteFading                    // nothing: it ends within milliseconds, to make room or by "all sound off"
)

// Held is the set of keys that something keeps sounding, a key or a pedal: key k is bit k%64 of word k/64.
func (s *Snapshot) Held() (keys [2]uint64) {
	for i := range s.Cycles {
		if c := &s.Cycles[i]; c.State == NoteDown || c.State == NotePedal {
			keys[c.Key/64] |= 1 << (c.Key % 64)
		}
	}
	return keys
}

// makeSnapshots gives each picture room for so many cycles.
func makeSnapshots(s *handover[Snapshot], cycles int) {
	for i := range s.copies {
		s.copies[i].Cycles = make([]SoundingCycle, 0, cycles)
	}
	s.init()
}

// Snapshot copies the newest picture of what sounds into dst, whose memory it uses again. The picture is
// one of the last cell that was rendered. Any goroutine but the audio thread may ask.
func (e *Engine) Snapshot(dst *Snapshot) {
	e.snapshots.read(func(newest *Snapshot) {
		dst.Frame, dst.Cycles = newest.Frame, append(dst.Cycles[:0], newest.Cycles...)
	})
	for i := range dst.Cycles {
		c := &dst.Cycles[i]
		c.AtFrame = (c.StartFrame + c.PlayedFrames) % c.CycleFrames
	}
}

// publishSnapshot hands over a picture of now. Audio thread: no allocation, lock, system call or log.
func (e *Engine) publishSnapshot() {
	picture := e.snapshots.draw()
	picture.Frame, picture.Cycles = e.frame, picture.Cycles[:0]
	for _, n := range e.sounding {
		if n.follows != nil {
			continue // is not heard yet
		}
		for _, i := range n.parts {
			picture.Cycles = picture.Cycles[:len(picture.Cycles)+1]
			n.draw(&e.parts[i], &picture.Cycles[len(picture.Cycles)-1])
		}
	}
	e.snapshots.publish()
}

// draw tells of one cycle of the note.
func (n *note) draw(p *part, c *SoundingCycle) {
	c.Key, c.Channel, c.MapNumber, c.BeganFrame = n.key, n.channel, n.on.number, n.beganFrame
	c.Zone, c.Layer, c.StartFrame, c.CycleFrames = p.zone, p.layer, p.startFrame, p.cycleFrames
	c.PlayedFrames, c.Fraction, c.Step = p.voice.Frame, p.voice.Fraction, p.voice.Step
	c.State, c.Level, c.Gain = n.state(), n.envelope.Level(), p.gain
}

func (n *note) state() NoteState {
	switch {
	case n.envelope.Fading():
		return NoteFading
	case n.envelope.Released():
		return NoteReleased
	case n.down:
		return NoteDown
	}
	return NotePedal
}
