// Checks the structure of a Standard MIDI File before the library reads it. The library trusts what a file
// declares: it allocates any length stated, reads past the end of a track, takes missing bytes
// as zeros, panics at a status byte out of place and lets a division of 0 stand for 960.

package engine

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
)

const (
	maxScoreBytes  = 16 << 20 // some four million events
	maxPieceTempos = 256      // the library's bookkeeping of tempo changes takes the square of their number
	maxVarLength   = 4        // bytes of a variable-length quantity, RP-001

	metaStatus     = 0xFF
	metaEndOfTrack = 0x2F
	metaTempo      = 0x51
)

// fault says what is wrong at a byte of the file.
func fault(atByte int, found, expected, mend string) error {
	return fmt.Errorf("byte %d: found %s, expected %s; %s", atByte, found, expected, mend)
}

func readScoreBytes(r io.Reader) ([]byte, error) {
	data, err := io.ReadAll(io.LimitReader(r, maxScoreBytes+1))
	if err != nil {
		return nil, err
	}
	if len(data) > maxScoreBytes && bytes.HasPrefix(data, []byte("MThd")) { // else the header tells more
		return nil, fault(maxScoreBytes, "more bytes", "a score of at most 16 MiB", "split the score")
	}
	return data, nil
}

// scoreFile is a file cut into its tracks.
type scoreFile struct {
	format   int
	division uint16
	tracks   []scoreTrack
}

// scoreTrack is the body of a track chunk, which begins at byte atByte of the file.
type scoreTrack struct {
	data   []byte
	atByte int
}

// splitScore checks the header and every chunk's length against the file's.
func splitScore(data []byte) (scoreFile, error) {
	const headerBytes = 14
	switch {
	case len(data) == 0:
		return scoreFile{}, fault(0, "an empty file", "a Standard MIDI File", "export the score again")
	case !bytes.HasPrefix(data, []byte("MThd")):
		return scoreFile{}, fault(0, fmt.Sprintf("%q", data[:min(4, len(data))]), `"MThd"`,
			"give a Standard MIDI File (.mid)")
	case len(data) < headerBytes:
		return scoreFile{}, fault(len(data), "the end of the file", "a header of 14 bytes", "export the score again")
	}
	file := scoreFile{format: int(bigEndian(data[8:10])), division: binary.BigEndian.Uint16(data[12:14])}
	declared := int(bigEndian(data[10:12]))
	if err := checkHeader(file, declared); err != nil {
		return scoreFile{}, err
	}
	at, length := 0, bigEndian(data[4:8])
	if length < headerBytes-8 {
		return scoreFile{}, fault(4, fmt.Sprintf("a header of %d bytes", length), "6 or more", "export the score again")
	}
	for {
		if left := uint64(len(data) - at - 8); length > left {
			return scoreFile{}, fault(at+4, fmt.Sprintf("a chunk of %d bytes", length),
				fmt.Sprintf("at most the %d that follow", left), "the file is cut short or damaged: copy or export it again")
		}
		if at > 0 && string(data[at:at+4]) == "MTrk" { // chunks of other types are to be passed over
			file.tracks = append(file.tracks, scoreTrack{data[at+8:][:length], at + 8})
		}
		at += 8 + int(length)
		if len(data)-at < 8 || len(file.tracks) == declared && string(data[at:at+4]) != "MTrk" {
			break
		}
		length = bigEndian(data[at+4 : at+8])
	}
	if len(file.tracks) != declared {
		return scoreFile{}, fault(10, fmt.Sprintf("a header that declares %d tracks", declared),
			fmt.Sprintf("%d, as many as there are", len(file.tracks)), "the file is cut short or damaged: copy or export it again")
	}
	return file, nil
}

func checkHeader(file scoreFile, declared int) error {
	const mend = "export the score again"
	if file.format > 2 {
		return fault(8, fmt.Sprintf("format %d", file.format), "0, 1 or 2", "export the score as format 0 or 1")
	}
	if declared == 0 || file.format == 0 && declared != 1 {
		return fault(10, fmt.Sprintf("%d tracks in a file of format %d", declared, file.format),
			"1 in format 0, 1 or more in the others", mend)
	}
	switch framesPerSec, ticksPerFrame := timeCode(file.division); framesPerSec {
	case 0:
		if file.division == 0 {
			return fault(12, "0 ticks a quarter note", "1 or more", mend)
		}
	case 24, 25, 29, 30:
		if ticksPerFrame == 0 {
			return fault(13, "0 ticks a time-code frame", "1 or more", mend)
		}
	default:
		return fault(12, fmt.Sprintf("a time code of %d frames a second", framesPerSec), "24, 25, 29 or 30", mend)
	}
	return nil
}

// pieces checks a track event by event and cuts it where the library needs it cut: after a tempo
// change, because running status does not outlast one. What follows the end-of-track event is no event.
func (t scoreTrack) pieces() (pieces [][]byte, err error) {
	c := trackCursor{scoreTrack: t}
	begin, tempos, running := 0, 0, byte(0)
	for c.fault == nil && c.at < len(t.data) {
		c.varLength("a delta time")
		status := c.next("a status byte")
		switch {
		case status < 0x80 && running != 0:
			c.dataBytes(running, 1)
		case status >= 0x80 && status < 0xF0:
			running = status
			c.dataBytes(status, 0)
		case status == 0xF0 || status == 0xF7:
			running = 0
			c.take(c.varLength("a system-exclusive length"))
		case status == metaStatus:
			running = 0
			switch kind := c.meta(); kind {
			case metaEndOfTrack:
				return append(pieces, t.data[begin:c.at]), c.fault
			case metaTempo:
				if tempos++; tempos%maxPieceTempos == 0 {
					pieces, begin = append(pieces, t.data[begin:c.at]), c.at
				}
			}
		default:
			c.fail(c.at-1, fmt.Sprintf("%#02x", status), "a status byte of a channel message (0x80 to 0xef), "+
				"0xf0, 0xf7 or 0xff")
		}
	}
	return append(pieces, t.data[begin:]), c.fault
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

// dataBytes reads the data bytes of a channel message, of which some have been read.
func (c *trackCursor) dataBytes(status byte, read int) {
	for range (Event{Status: status}).DataBytes() - read {
		if b := c.next("a data byte"); b >= 0x80 {
			c.fail(c.at-1, fmt.Sprintf("%#02x", b), "a data byte of 0 to 0x7f")
		}
	}
}

// meta reads a meta event and gives its type.
func (c *trackCursor) meta() byte {
	kind := c.next("a type of meta event")
	body := c.take(c.varLength("a length of a meta event"))
	if kind == metaTempo && (len(body) != 3 || bigEndian(body) == 0) {
		c.fail(c.at-len(body), fmt.Sprintf("a tempo of bytes [% x]", body), "three bytes that make 1 µs or more")
	}
	return kind
}

// oneTrackFile makes a file of format 0 of a piece of a track.
func oneTrackFile(piece []byte) []byte {
	file := []byte("MThd\x00\x00\x00\x06\x00\x00\x00\x01\x03\xC0MTrk")
	file = binary.BigEndian.AppendUint32(file, uint32(len(piece)))
	return append(append(file, piece...), 0, metaStatus, metaEndOfTrack, 0)
}

func bigEndian(digits []byte) (value uint64) {
	for _, digit := range digits {
		value = value<<8 | uint64(digit)
	}
	return value
}
