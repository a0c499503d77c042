// Whether an Ogg file is whole: its pages carry checksums, numbers and a mark on the last one of each stream.

package decode

import (
	"bufio"
	"encoding/binary"
	"io"
)

// oggState is what the walk through the pages of a file finds.
type oggState struct {
	open       map[uint32]bool   // streams whose last page has not come, by serial number
	next       map[uint32]uint32 // number of each stream's next page
	begun      int               // streams
	ended      bool              // the file stops where a page does
	wrongPages bool              // a checksum does not fit, or a page is missing
}

// oggPage is one page of a stream (RFC 3533, 6).
type oggPage struct {
	flags    byte
	position int64 // granule position: where in its stream the last packet that ends in the page ends; −1: none does
	missed   bool  // pages before it
	segments []byte
	body     []byte
}

const (
	oggContinues = 1 // the page begins within a packet
	oggLastPage  = 4 // of its stream
)

// walkOgg goes through the pages of a physical stream and hands each on. An error ends the walk.
func walkOgg(r io.Reader, visit func(*oggPage) error) (*oggState, error) {
	state := &oggState{open: map[uint32]bool{}, next: map[uint32]uint32{}}
	buffered := bufio.NewReaderSize(r, 1<<16)
	for {
		page := state.readPage(buffered)
		if page == nil {
			return state, nil
		}
		if err := visit(page); err != nil {
			return state, err
		}
	}
}

// readOggPages walks through the pages of a physical stream (RFC 3533, 6). It tells a file that was cut off, even
// where a page ends, and one with a damaged or a missing page: decoders pass over both in silence.
func readOggPages(r io.Reader) (truncated, damaged bool) {
	state, _ := walkOgg(r, func(*oggPage) error { return nil })
	return state.truncated(), state.wrongPages
}

func (o *oggState) truncated() bool { return !o.ended || len(o.open) > 0 }

// readPage reads one page; nil at the end of what can be read as pages.
func (o *oggState) readPage(r io.Reader) *oggPage {
	const headerBytes, checksumAt = 27, 22
	page := make([]byte, headerBytes, headerBytes+255+255*255)
	if _, err := io.ReadFull(r, page); err != nil {
		o.ended = err == io.EOF
		return nil
	}
	if string(page[:4]) != "OggS" {
		// Players append tags, which are no damage; a broken page leaves its stream open.
		o.ended = len(o.open) == 0
		return nil
	}
	segments := page[headerBytes : headerBytes+int(page[26])]
	if _, err := io.ReadFull(r, segments); err != nil {
		return nil
	}
	bodyBytes := 0
	for _, bytes := range segments {
		bodyBytes += int(bytes)
	}
	page = page[:headerBytes+len(segments)+bodyBytes]
	body := page[headerBytes+len(segments):]
	if _, err := io.ReadFull(r, body); err != nil {
		return nil
	}
	serial, number := binary.LittleEndian.Uint32(page[14:]), binary.LittleEndian.Uint32(page[18:])
	checksum := binary.LittleEndian.Uint32(page[checksumAt:])
	clear(page[checksumAt : checksumAt+4])
	expected, known := o.next[serial]
	missed := known && number != expected
	o.wrongPages = o.wrongPages || oggChecksum(page) != checksum || missed
	o.next[serial] = number + 1
	if !o.open[serial] {
		o.open[serial] = true
		o.begun++
	}
	if page[5]&oggLastPage != 0 {
		delete(o.open, serial)
		delete(o.next, serial)
	}
	return &oggPage{flags: page[5], position: int64(binary.LittleEndian.Uint64(page[6:])), missed: missed,
		segments: segments, body: body}
}

// oggTable is that of the CRC of RFC 3533, 6: polynomial 0x04c11db7, most significant bit first, begun at 0.
var oggTable = func() (table [256]uint32) {
	for i := range table {
		r := uint32(i) << 24
		for range 8 {
			if r&(1<<31) != 0 {
				r = r<<1 ^ 0x04c11db7
			} else {
				r <<= 1
			}
		}
		table[i] = r
	}
	return table
}()

func oggChecksum(page []byte) uint32 {
	sum := uint32(0)
	for _, b := range page {
		sum = sum<<8 ^ oggTable[byte(sum>>24)^b]
	}
	return sum
}
