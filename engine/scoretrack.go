// The events of one track of a Standard MIDI File.

package engine

import (
	"bytes"
	"fmt"
)

const (
	maxVarLength = 4 // bytes of a variable-length quantity, RP-001

	metaStatus     = 0xFF
	metaEndOfTrack = 0x2F
	metaTempo      = 0x51
	metaSequencer  = 0x7F
)

// sequence is what sounds together, in ticks.
type sequence struct {
	events  []Event // Frame counts ticks until the sequence is played
	tempos  []tempoChange
	endTick int64
	maps    []PlayedMap
	left    int64 // bytes that maps may still be
}

// read takes in a track event by event. System-exclusive messages other than tunings, and meta events other than tempo
// changes, turns and maps, are passed over, and what follows the end-of-track event is no event.
func (t scoreTrack) read() (sequence, error) {
	c := trackCursor{scoreTrack: t}
	own, running := sequence{left: mostMapBytes}, byte(0)
	for c.fault == nil && c.at < len(t.data) {
		own.endTick += int64(c.varLength("a delta time"))
		status := c.next("a status byte")
		switch {
		case status < 0x80 && running != 0:
			own.events = append(own.events, c.channelMessage(own.endTick, running, status))
		case status >= 0x80 && status < 0xF0:
			running = status
			own.events = append(own.events, c.channelMessage(own.endTick, status, c.dataByte()))
		case status == systemExclusive:
			running = 0
			body := c.take(c.varLength("a system-exclusive length"))
			first := len(own.events)
			own.events = AppendTuning(own.events, bytes.TrimSuffix(body, []byte{systemExclusiveEnd}))
			for i := first; i < len(own.events); i++ {
				own.events[i].Frame = own.endTick
			}
		case status == systemExclusiveEnd:
			running = 0
			c.take(c.varLength("a system-exclusive length"))
		case status == metaStatus:
			running = 0
			switch kind, body := c.meta(); kind {
			case metaEndOfTrack:
				return own, c.fault
			case metaTempo:
				own.tempos = append(own.tempos, tempoChange{own.endTick, bigEndian(body)})
			case metaSequencer:
				if err := own.takeData(body); err != nil {
					c.fail(c.at-len(body), err.Error(), "one that can be unpacked")
				}
			}
		default:
			c.fail(c.at-1, fmt.Sprintf("%#02x", status), "a status byte of a channel message (0x80 to 0xef), "+
				"0xf0, 0xf7 or 0xff")
		}
	}
	return own, c.fault
}

// takeData takes in a turn or a map; what other sequencers keep is passed over.
func (s *sequence) takeData(body []byte) error {
	if turn, is := readTurn(body); is {
		turn.Frame = s.endTick
		s.events = append(s.events, turn)
	}
	m, is, err := readPlayed(body, &s.left)
	if is && err == nil {
		s.maps = append(s.maps, m)
	}
	return err
}

// trackCursor reads on through a track until something is wrong, and then no further.
type trackCursor struct {
	scoreTrack
	at    int // in the track
	fault error
}

func (c *trackCursor) fail(at int, found, expected string) {
	if c.fault == nil {
		c.fault = fault(c.atByte+at, found, expected, "the track is damaged: copy or export the score again")
		c.at = len(c.data)
	}
}

// next is the next byte, or 0 after the end of the track.
func (c *trackCursor) next(expected string) byte {
	if c.at == len(c.data) {
		c.fail(c.at, "the end of the track", expected)
		return 0
	}
	c.at++
	return c.data[c.at-1]
}

func (c *trackCursor) varLength(expected string) int {
	value := 0
	for range maxVarLength {
		b := c.next(expected)
		if value = value<<7 | int(b&0x7F); b < 0x80 {
			return value
		}
	}
	c.fail(c.at, "a fifth byte", expected+" of at most four bytes")
	return 0
}

// take is the next n bytes.
func (c *trackCursor) take(n int) []byte {
	if left := len(c.data) - c.at; n > left {
		c.fail(c.at, fmt.Sprintf("a length of %d bytes", n), fmt.Sprintf("at most the track's %d left", left))
		return nil
	}
	c.at += n
	return c.data[c.at-n : c.at]
}

// dataByte is the next byte, which belongs to a channel message.
func (c *trackCursor) dataByte() byte {
	b := c.next("a data byte")
	if b >= 0x80 {
		c.fail(c.at-1, fmt.Sprintf("%#02x", b), "a data byte of 0 to 0x7f")
	}
	return b
}

// channelMessage reads what follows the first data byte.
func (c *trackCursor) channelMessage(tick int64, status, data1 byte) Event {
	event := Event{Frame: tick, Status: status, Data1: data1}
	if event.DataBytes() == 2 {
		event.Data2 = c.dataByte()
	}
	return event
}

// meta reads a meta event and gives its type and what it holds.
func (c *trackCursor) meta() (kind byte, body []byte) {
	kind = c.next("a type of meta event")
	body = c.take(c.varLength("a length of a meta event"))
	if kind == metaTempo && (len(body) != 3 || bigEndian(body) == 0) {
		c.fail(c.at-len(body), fmt.Sprintf("a tempo of bytes [% x]", body), "three bytes that make 1 µs or more")
	}
	return kind, body
}
