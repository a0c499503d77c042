// The controllers: where each stands, smoothed, and what every message does to the notes.

package engine

import (
	"math"
	"slices"

	"lapstrake/mapping"
)

// pedalDown is the least value at which a pedal that is a switch counts as down (MIDI 1.0, table III, note).
const pedalDown = 64

// fineOffset leads from a controller below 32 to its fine twin (MIDI 1.0).
const fineOffset = 32

// controls is the state of all controllers, smoothed.
type controls struct {
	values          [128]int // as last received; unmoved before
	dynamicsNumber  int
	dynamicsInitial int
	numbers         []int    // of the volume controllers
	dynamics        smoothed // 0 quietest layer, 1 loudest
	volume          smoothed // linear gain
	bend            smoothed // semitones
	bendRange       float64
	bendValue       int // as last received
}

const unmoved = -1

func (c *controls) init(m *mapping.Map) {
	for i := range c.values {
		c.values[i] = unmoved
	}
	c.bendValue = BendCentre
	rate := float64(m.RateHz)
	c.dynamics = newSmoothed(m.Dynamics.SmoothingSec*rate, dynamicsValue(m.Dynamics.Initial, 0))
	c.volume = newSmoothed(mapping.VolumeSmoothingSec*rate, 1)
	c.bend = newSmoothed(mapping.BendSmoothingSec*rate, 0)
	c.adopt(m)
}

// adopt takes over what a map says of controllers. Those that were moved keep
// their places.
func (c *controls) adopt(m *mapping.Map) {
	c.dynamicsNumber, c.numbers, c.bendRange = m.Dynamics.Controller, m.Volume.Controllers, m.BendSemitones
	c.dynamics.setTime(m.Dynamics.SmoothingSec * float64(m.RateHz))
	c.dynamicsInitial = m.Dynamics.Initial
	c.dynamics.target = c.dynamicsTarget()
	c.volume.target = c.volumeGain()
	c.turnBend(c.bendValue)
}

// turnBend moves the bend to a value from 0 to 16383.
func (c *controls) turnBend(value int) {
	c.bendValue = value
	c.bend.target = float64(value-BendCentre) / BendCentre * c.bendRange
}

// dynamicsValue makes 0 to 1 of a coarse and a fine value, so that a keyboard
// that sends the coarse one alone reaches 1 at 127.
func dynamicsValue(coarse, fine int) float64 {
	return min(float64(coarse<<7|fine)/(127<<7), 1)
}

// dynamicsTarget is the value that the controllers ask for.
func (c *controls) dynamicsTarget() float64 {
	coarse, fine := c.values[c.dynamicsNumber], 0
	if coarse == unmoved {
		coarse = c.dynamicsInitial
	}
	if c.dynamicsNumber < fineOffset {
		fine = max(c.values[c.dynamicsNumber+fineOffset], 0)
	}
	return dynamicsValue(coarse, fine)
}

// volumeGain is 40·log10(value/127) dB for each controller, together (General
// MIDI 2; DLS 2.2).
func (c *controls) volumeGain() float64 {
	gain := 1.0
	for _, number := range c.numbers {
		if value := c.values[number]; value != unmoved {
			part := float64(value) / 127
			gain *= part * part
		}
	}
	return gain
}

// firstVolume is where the first volume controller stands: full before it is moved, or where there is none.
func (c *controls) firstVolume() int {
	if len(c.numbers) == 0 || c.values[c.numbers[0]] == unmoved {
		return 127
	}
	return c.values[c.numbers[0]]
}

func (c *controls) gain() float64 { return c.volume.value }

func (c *controls) bendRatio() float64 { return ratioOf(c.bend.value) }

func (c *controls) advance(frames int) {
	c.dynamics.advance(frames)
	c.volume.advance(frames)
	c.bend.advance(frames)
}

func (c *controls) set(number, value int) {
	c.values[number] = value
	if number == c.dynamicsNumber && number < fineOffset {
		c.values[number+fineOffset] = unmoved
	}
	c.dynamics.target = c.dynamicsTarget()
	c.volume.target = c.volumeGain()
}

// assigned says whether the map gives a controller something to do.
func (c *controls) assigned(number int) bool {
	isFine := c.dynamicsNumber < fineOffset && number == c.dynamicsNumber+fineOffset
	return number == c.dynamicsNumber || isFine || slices.Contains(c.numbers, number)
}

// reset answers controller 121 (MIDI RP-015): modulation 0, expression full,
// bend centred, pedals up; the volume controller stays.
func (c *controls) reset() {
	c.set(c.dynamicsNumber, 0)
	for _, number := range c.numbers {
		if number != ControlVolume {
			c.set(number, 127)
		}
	}
	c.turnBend(BendCentre)
}

// apply takes one channel message, a part of a tuning message, or a turn. Audio thread.
func (e *Engine) apply(event Event) {
	switch {
	case event.IsTurn():
		e.turn(event)
		return
	case !event.IsChannel():
		e.retune(event)
		return
	}
	of := int(event.Channel())
	if e.settings.Channel != 0 && of != e.settings.Channel-1 {
		return
	}
	key, value := int(event.Data1&0x7F), int(event.Data2&0x7F)
	switch event.Kind() {
	case KindNoteOn:
		if value > 0 {
			e.noteOn(event)
		} else {
			e.noteOff(of, key)
		}
	case KindNoteOff:
		e.noteOff(of, key)
	case KindBend:
		if c := &e.channels[of]; c.member {
			c.turnBend(event.BendValue())
			e.glide()
		} else {
			e.control.turnBend(event.BendValue())
		}
	case KindKeyPressure:
		e.press(of, key, value)
	case KindChannelPressure:
		e.press(of, -1, key)
	case KindControl:
		e.controlChange(of, key, value)
	}
}

func (e *Engine) controlChange(of, number, value int) {
	c := &e.control
	switch {
	case number == ControlHold:
		e.pedals(of).hold = value >= pedalDown
		e.releaseLifted()
	case number == ControlSostenuto:
		e.pressSostenuto(of, value >= pedalDown)
	case number == ControlSoundOff:
		e.eachOn(of, e.fade)
	case number == ControlReset:
		e.resetChannel(of)
	case number >= ControlNotesOff:
		e.eachOn(of, func(n *note) { n.down = false })
		e.releaseLifted()
	case e.channels[of].member && number == c.dynamicsNumber:
		e.channels[of].dynamics = value
	case !c.assigned(number) && e.parameterControl(number, of, value):
	default:
		c.set(number, value)
	}
}

// eachOn does something to all notes, or to those of a channel that stands apart.
func (e *Engine) eachOn(of int, do func(*note)) {
	for _, n := range e.sounding {
		if !e.apart(of) || n.channel == of {
			do(n)
		}
	}
}

// resetChannel answers controller 121 (RP-015).
func (e *Engine) resetChannel(of int) {
	own := &e.channels[of]
	own.pressure, own.parameter = 0, noParameter
	if own.member {
		own.dynamics = unmoved
		own.turnBend(BendCentre)
		e.glide()
		return
	}
	e.control.reset()
	e.pedals(of).hold = false
	e.pressSostenuto(of, false)
}

// pressSostenuto keeps the keys that are down as the pedal goes down, and lets
// them go as it comes up.
func (e *Engine) pressSostenuto(of int, down bool) {
	pedal := e.pedals(of)
	if down != pedal.sostenuto || !down {
		for _, n := range e.sounding {
			if e.pedals(n.channel) == pedal {
				n.captured = down && n.down
			}
		}
		e.releaseLifted()
	}
	pedal.sostenuto = down
}

// velocityGain is amount times 40·log10(velocity/127) dB.
func velocityGain(velocity int, amount float64) float64 {
	return math.Pow(float64(velocity)/127, 2*amount)
}
