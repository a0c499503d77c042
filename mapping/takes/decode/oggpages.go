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
	ended      bool              // the file stops where a page does
	wrongPages bool              // a checksum does not fit, or a page is missing
}

// readOggPages walks through the pages of a physical stream (RFC 3533, 6). It tells a file that was cut off, even
// where a page ends, and one with a damaged or a missing page: decoders pass over both in silence.
func readOggPages(r io.Reader) (truncated, damaged bool) {
	state := oggState{open: map[uint32]bool{}, next: map[uint32]uint32{}}
	buffered := bufio.NewReaderSize(r, 1<<16)
	for state.readPage(buffered) {
	}
	return !state.ended || len(state.open) > 0, state.wrongPages
}

// readPage reads one page; false at the end of what can be read as pages.
func (o *oggState) readPage(r io.Reader) bool {
	const headerBytes, checksumAt, lastPage = 27, 22, 4
	page := make([]byte, headerBytes, headerBytes+255+255*255)
	if _, err := io.ReadFull(r, page); err != nil {
		o.ended = err == io.EOF
		return false
	}
	if string(page[:4]) != "OggS" {
		// Players append tags, which are no damage; a broken page leaves its stream open.
		o.ended = len(o.open) == 0
		return false
	}
	segments := page[headerBytes : headerBytes+int(page[26])]
	if _, err := io.ReadFull(r, segments); err != nil {
		return false
	}
	bodyBytes := 0
	for _, bytes := range segments {
		bodyBytes += int(bytes)
	}
	page = page[:headerBytes+len(segments)+bodyBytes]
	if _, err := io.ReadFull(r, page[headerBytes+len(segments):]); err != nil {
		return false
	}
	serial, number := binary.LittleEndian.Uint32(page[14:]), binary.LittleEndian.Uint32(page[18:])
	checksum := binary.LittleEndian.Uint32(page[checksumAt:])
	clear(page[checksumAt : checksumAt+4])
	expected, known := o.next[serial]
	o.wrongPages = o.wrongPages || oggChecksum(page) != checksum || known && number != expected
	o.next[serial] = number + 1
	o.open[serial] = true
	if page[5]&lastPage != 0 {
		delete(o.open, serial)
		delete(o.next, serial)
	}
	return true
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
