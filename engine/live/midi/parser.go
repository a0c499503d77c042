// Parser: channel messages, and tunings, out of a stream of MIDI bytes.

package midi

import (
	"lapstrake/engine"
	"lapstrake/engine/live"
)

// Parser takes bytes one at a time and finds the channel messages in them, after MIDI 1.0 Detailed
// Specification, "Data Format": running status holds until the next status byte other than a
// real-time one; real-time bytes may stand anywhere, within other messages too; a system
// exclusive message ends at any status byte but a real-time one; data bytes with no status are
// nothing. Nothing is stored but the message under way. The zero Parser is ready.
type Parser struct {
	status byte // running status; 0: none, data bytes are passed over
	data1  byte
	have1  bool // data1 is there

	exclusive bool // a system-exclusive message is under way
	body      [engine.MostTuningBytes]byte
	length    int // of the body; beyond its room it says nothing
}

// Next takes a byte. It returns true with a channel message when this byte completes one; data2 is
// 0 in a message of one data byte. No allocation.
func (p *Parser) Next(b byte) (status, data1, data2 byte, complete bool) {
	switch {
	case b >= 0xF8: // real-time
		return 0, 0, 0, false
	case b >= 0xF0: // system exclusive, its end, and system common
		p.status, p.have1, p.exclusive, p.length = 0, false, b == 0xF0, 0
		return 0, 0, 0, false
	case b >= 0x80:
		p.status, p.have1, p.exclusive = b, false, false
		return 0, 0, 0, false
	case p.exclusive:
		if p.length < len(p.body) {
			p.body[p.length] = b
		}
		p.length++
		return 0, 0, 0, false
	case p.status == 0:
		return 0, 0, 0, false
	case p.status&0xE0 == 0xC0: // program and channel pressure have one data byte
		return p.status, b, 0, true
	case !p.have1:
		p.data1, p.have1 = b, true
		return 0, 0, 0, false
	}
	p.have1 = false
	return p.status, p.data1, b, true
}

// tuning is the system-exclusive message that a byte ends, if it may be one about tunings.
func (p *Parser) tuning(b byte) (body []byte, some bool) {
	if b != 0xF7 || !p.exclusive || p.length > len(p.body) {
		return nil, false
	}
	return p.body[:p.length], true
}

// parseInto hands the channel messages, and the tunings, in bytes that arrived at atNs over to input.
func (p *Parser) parseInto(input *live.Input, atNs int64, bytes []byte) {
	for _, b := range bytes {
		if body, some := p.tuning(b); some {
			input.PushTuning(atNs, body)
		}
		if status, data1, data2, complete := p.Next(b); complete {
			input.Push(atNs, status, data1, data2)
		}
	}
}
