// The outermost layer: RIFF, RF64 or BW64, and the 64-bit sizes of the latter two.

package wav

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
)

const (
	unknownSize   = -1 // a size the writer never filled in
	unknownSize32 = 0xFFFFFFFF
	formBytes     = 12 // "RIFF", size, "WAVE"
)

// header is what has been gathered of one file so far.
type header struct {
	r         io.ReaderAt
	sizeBytes int64
	path      string

	is64    bool  // RF64 or BW64: sizes of 0xFFFFFFFF stand in ds64
	formEnd int64 // byte after the form as declared, or unknownSize
	ds64    sizes64
	format  *waveFormat // nil: not met yet
	data    chunk       // bodyOffset 0: not met yet; so too smpl
	smpl    chunk

	scratch [8]byte // for one chunk header: a local one would be allocated for each chunk
}

// readForm checks the first 12 bytes and says what the file is if it is not WAVE.
func (h *header) readForm() error {
	head := make([]byte, min(max(h.sizeBytes, 0), 512))
	if err := h.readAt(head, 0); err != nil {
		return err
	}
	isRIFF := matches(head, "RIFF????WAVE")
	h.is64 = matches(head, "RF64????WAVE") || matches(head, "BW64????WAVE")
	if !isRIFF && !h.is64 {
		found, mend := Identify(head)
		return &FormatError{Path: h.path, Found: found, Expected: waveExpected, Mend: mend}
	}
	h.formEnd = int64(binary.LittleEndian.Uint32(head[4:])) + 8
	if h.formEnd == unknownSize32+8 {
		h.formEnd = unknownSize
	}
	return nil
}

// readAt fills buf from offset, which the caller has checked against the file's length.
func (h *header) readAt(buf []byte, offset int64) error {
	n, err := h.r.ReadAt(buf, offset)
	if n == len(buf) {
		return nil
	}
	if err == nil || errors.Is(err, io.EOF) {
		err = io.ErrUnexpectedEOF
	}
	return fmt.Errorf("%s: byte %d: cannot be read: %w; copy the file again, or check the disk",
		h.path, offset+int64(n), err)
}

// sizes64 is the content of a ds64 chunk (EBU Tech 3306).
type sizes64 struct {
	dataBytes int64 // of the data chunk, or unknownSize
	others    map[chunkID]int64
}

// readDS64 takes the 64-bit sizes: the form, data, the sample count (not needed), then a table of
// other large chunks.
func (h *header) readDS64(c chunk) error {
	const fixed, entryBytes, maxEntries = 28, 12, 64
	body := make([]byte, min(c.sizeBytes, fixed+maxEntries*entryBytes))
	if err := h.readAt(body, c.bodyOffset); err != nil {
		return err
	}
	if len(body) < fixed-4 { // the table's length may be left out when there is no table
		return h.formatError(c, 0, fmt.Sprintf("%d bytes", c.sizeBytes), fmt.Sprintf("at least %d", fixed), fetchMend)
	}
	h.formEnd = size64(body)
	if h.formEnd != unknownSize {
		h.formEnd = min(h.formEnd, math.MaxInt64-8) + 8
	}
	h.ds64 = sizes64{dataBytes: size64(body[8:]), others: map[chunkID]int64{}}
	if len(body) < fixed {
		return nil
	}
	table := body[fixed:]
	for range binary.LittleEndian.Uint32(body[24:]) {
		if len(table) < entryBytes {
			break
		}
		h.ds64.others[chunkID(table)] = size64(table[4:])
		table = table[entryBytes:]
	}
	return nil
}

// size64 reads a size; more than a file can hold means that it was never filled in.
func size64(b []byte) int64 {
	if size := binary.LittleEndian.Uint64(b); size <= math.MaxInt64 {
		return int64(size)
	}
	return unknownSize
}

// sizeOf is the body's size of a chunk whose 32-bit field holds size32.
func (h *header) sizeOf(id chunkID, size32 uint32) int64 {
	if size32 != unknownSize32 {
		return int64(size32)
	}
	if !h.is64 {
		return unknownSize
	}
	if id == idData {
		return h.ds64.dataBytes
	}
	if size, ok := h.ds64.others[id]; ok {
		return size
	}
	return unknownSize
}
