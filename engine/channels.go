// Channels: what each of the sixteen says by itself. The registered parameters (MIDI 1.0; RPN 0 to 6), the zones of
// MIDI Polyphonic Expression (MMA RP-053), pressure.

package engine

import "lapstrake/mapping"

// Controllers by which registered parameters are chosen and given their values (MIDI 1.0, table III).
const (
	controlData      = 6
	controlDataFine  = 38
	controlIncrease  = 96
	controlDecrease  = 97
	controlNRPNFine  = 98
	controlNRPN      = 99
	controlRPNFine   = 100
	controlRPN       = 101
	noParameter      = 0x7F<<7 | 0x7F
	parameterBend    = 0 // range: semitones, cents
	parameterFine    = 1 // tuning: 14 bits, 0x2000 in tune, 100 cents either way
	parameterCoarse  = 2 // tuning: semitones, 64 in tune
	parameterProgram = 3 // of tunings (MMA CA-020)
	parameterMPE     = 6 // how many member channels a zone has (RP-053)
)

// memberBendSemitones is the range of the bends of a zone's member channels until it is set (RP-053).
const memberBendSemitones = 48

// channel is the state of one channel.
type channel struct {
	parameter    int // chosen
	data         [2]int
	coarse, fine float64 // semitones above the key
	pressure     int     // 0 to 127
	hold         bool    // the pedal, where channels stand apart
	sostenuto    bool

	member    bool    // of a zone: what it says is about its own notes
	bend      float64 // of a member, semitones
	bendValue int     // as last received
	bendRange float64 // of a member, semitones
	dynamics  int     // of a member, as the map's controller was last received; unmoved before
}

func (c *channel) init() {
	*c = channel{parameter: noParameter, bendRange: memberBendSemitones, bendValue: BendCentre, dynamics: unmoved}
}

// turnBend moves a member's own bend.
func (c *channel) turnBend(value int) {
	c.bendValue = value
	c.bend = float64(value-BendCentre) / BendCentre * c.bendRange
}

// zones are the two of MPE: how many members each has; 0: it is not there.
type zones struct{ lower, upper int }

// setZone answers the MPE configuration message: the zone of channel 1 or 16 gets so many members, and takes them from
// the other one.
func (e *Engine) setZone(master, members int) {
	members = min(members, 15)
	if z := &e.zones; master == 0 {
		z.lower = members
		z.upper = max(min(z.upper, 14-z.lower), 0)
	} else {
		z.upper = members
		z.lower = max(min(z.lower, 14-z.upper), 0)
	}
	for i := range e.channels {
		c := &e.channels[i]
		member := i > 0 && i <= e.zones.lower || i < 15 && i >= 15-e.zones.upper
		if member != c.member {
			c.init()
			c.member = member
		}
	}
	e.control.bendRange = e.now.cycles.Map.BendSemitones
	e.control.turnBend(BendCentre)
	e.glide()
}

// parameterControl takes a controller that is about registered parameters; false means that it is none.
func (e *Engine) parameterControl(number int, of int, value int) bool {
	c := &e.channels[of]
	switch number {
	case controlRPN:
		c.parameter = value<<7 | c.parameter&0x7F
	case controlRPNFine:
		c.parameter = c.parameter&^0x7F | value
	case controlNRPN, controlNRPNFine:
		c.parameter = noParameter
	case controlData:
		c.data = [2]int{value, 0}
		e.setParameter(of)
	case controlDataFine:
		c.data[1] = value
		e.setParameter(of)
	case controlIncrease, controlDecrease:
		step := 1 - 2*(number-controlIncrease)
		c.data[0] = min(max(c.data[0]+step, 0), 127)
		e.setParameter(of)
	default:
		return false
	}
	return true
}

// setParameter gives the chosen parameter of a channel its value.
func (e *Engine) setParameter(of int) {
	c := &e.channels[of]
	switch c.parameter {
	case parameterBend:
		e.setBendRange(of, min(float64(c.data[0])+float64(c.data[1])/100, 96))
	case parameterFine:
		c.fine = float64(c.data[0]<<7|c.data[1]-0x2000) / 0x2000
	case parameterCoarse:
		c.coarse = float64(c.data[0] - 64)
	case parameterProgram:
		e.tunings.program, e.tunings.touched = c.data[0], true
	case parameterMPE:
		if c.data[1] == 0 && (of == 0 || of == 15) {
			e.setZone(of, c.data[0])
		}
		return
	}
	e.glide()
}

// setBendRange sets that of all channels or, of a member channel, that of its zone's members.
func (e *Engine) setBendRange(of int, semitones float64) {
	if !e.channels[of].member {
		e.control.bendRange = semitones
		e.control.turnBend(e.control.bendValue)
		return
	}
	lower := of <= e.zones.lower
	for i := range e.channels {
		if c := &e.channels[i]; c.member && (i <= e.zones.lower) == lower {
			c.bendRange = semitones
			c.turnBend(c.bendValue)
		}
	}
}

// apart says whether a channel's notes are told apart from those of other channels on the same key.
func (e *Engine) apart(of int) bool { return e.settings.Apart || e.channels[of].member }

// same says whether a note is that of a key on a channel.
func (e *Engine) same(n *note, of, key int) bool {
	return n.key == key && (n.channel == of || !e.apart(of) && !e.apart(n.channel))
}

// pedals is the channel whose pedals a channel's notes hear.
func (e *Engine) pedals(of int) *channel {
	if e.settings.Apart {
		return &e.channels[of]
	}
	return &e.channels[0]
}

// shifted is the key that a channel plays where it is asked for a key: its coarse tuning moves it to other zones.
func (e *Engine) shifted(of, key int) int {
	return min(max(key+int(e.channels[of].coarse), mapping.LowestKey), mapping.HighestKey)
}

// press takes the pressure of one key, or of a channel where key is negative.
func (e *Engine) press(of, key, value int) {
	if key < 0 {
		e.channels[of].pressure = value
		return
	}
	for _, n := range e.sounding {
		if e.same(n, of, key) {
			n.pressure = value
		}
	}
}
