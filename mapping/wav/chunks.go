// The walk along a form's chunks, in whatever order they stand.

package wav

import (
	"encoding/binary"
	"fmt"
)

// maxChunks bounds the walk through a file made of nothing but chunk headers. Recorders write a handful. A long
// recording with many cue labels and pictures stays far below.
const maxChunks = 4096

// chunkID is a chunk's name, such as "fmt ".
type chunkID [4]byte

var (
	idFormat  = chunkID{'f', 'm', 't', ' '}
	idData    = chunkID{'d', 'a', 't', 'a'}
	idSampler = chunkID{'s', 'm', 'p', 'l'}
	idSizes64 = chunkID{'d', 's', '6', '4'}
)

// chunk is where one chunk stands. sizeBytes is as declared, without the pad byte.
type chunk struct {
	id         chunkID
	bodyOffset int64
	sizeBytes  int64 // unknownSize: to the end of the file
}

// walk notes fmt, data, smpl and ds64 and steps over everything else. It ends at what follows the sound and is no
// chunk:
// tags and padding are often appended there.
func (h *header) walk() error {
	offset := int64(formBytes)
	for range maxChunks {
		if offset > h.sizeBytes-8 {
			return nil
		}
		c, err := h.readChunk(offset)
		if err != nil {
			return err
		}
		if !c.id.printable() {
			if h.data.bodyOffset != 0 && h.format != nil {
				return nil
			}
			return h.formatError(c, -8, fmt.Sprintf("bytes % x", c.id), "a chunk's name",
				fetchMend+"; its header is damaged")
		}
		if c.id == idData {
			c.sizeBytes = h.dataSize(c)
		}
		if err := h.take(c); err != nil {
			return err
		}
		if h.exceedsFile(c) { // nothing can follow
			return nil
		}
		if offset, err = h.next(c); err != nil {
			return err
		}
	}
	return &FormatError{Path: h.path, Offset: offset, Found: fmt.Sprintf("more than %d chunks", maxChunks),
		Expected: "a handful", Mend: fetchMend + "; it is damaged"}
}

// readChunk reads the header of a chunk.
func (h *header) readChunk(offset int64) (chunk, error) {
	b := h.scratch[:]
	if err := h.readAt(b, offset); err != nil {
		return chunk{}, err
	}
	id := chunkID(b)
	return chunk{id: id, bodyOffset: offset + 8,
		sizeBytes: h.sizeOf(id, binary.LittleEndian.Uint32(b[4:]))}, nil
}

// take keeps what a chunk says if it is one we need.
func (h *header) take(c chunk) error {
	switch c.id {
	case idSizes64, idFormat, idSampler:
		if h.exceedsFile(c) {
			return h.formatError(c, -4, fmt.Sprintf("a size beyond the end of the file (%d bytes)", h.sizeBytes),
				"one within it", fetchMend)
		}
	}
	switch {
	case c.id == idSizes64 && h.is64:
		return h.readDS64(c)
	case c.id == idFormat && h.format == nil:
		format, err := h.readFormat(c)
		h.format = format
		return err
	case c.id == idData && h.data.bodyOffset == 0:
		h.data = c
	case c.id == idSampler && h.smpl.bodyOffset == 0:
		h.smpl = c
	case c.id == idFormat, c.id == idData, c.id == idSampler:
		return h.formatError(c, -8, "a second chunk of this name", "one",
			"open the file in an audio editor and save it as a new WAV")
	}
	return nil
}

// dataSize gives the size of the data chunk, unknownSize where the writer could not go back to fill it in.
func (h *header) dataSize(c chunk) int64 {
	// An unclosed recording: size 0 although bytes follow, in a form that ends before them.
	unclosed := c.sizeBytes == 0 && (h.formEnd == unknownSize || h.formEnd <= c.bodyOffset)
	// What writers to a pipe put that stay below 2 GiB: 0x7FFFF000, rounded down to whole frames
	// of up to 64 KiB (seen from SoX 14.4: 0x7FFFEFFC for stereo 24-bit).
	const pipeSize = 0x7FFFF000
	piped := h.exceedsFile(c) && c.sizeBytes <= pipeSize && c.sizeBytes > pipeSize-65536
	if unclosed || piped {
		return unknownSize
	}
	return c.sizeBytes
}

// exceedsFile says whether c declares more than the file holds, or an unknown size.
func (h *header) exceedsFile(c chunk) bool {
	return c.sizeBytes == unknownSize || c.sizeBytes > h.sizeBytes-c.bodyOffset
}

// next gives where the chunk after c starts: behind the pad byte if the size is odd. Some writers forget the pad byte;
// then a known name stands where it should be.
func (h *header) next(c chunk) (int64, error) {
	end := c.bodyOffset + c.sizeBytes
	if c.sizeBytes%2 == 0 {
		return end, nil
	}
	if end <= h.sizeBytes-8 {
		name := h.scratch[:4]
		if err := h.readAt(name, end); err != nil {
			return 0, err
		}
		switch string(name) {
		case "fmt ", "data", "smpl", "inst", "LIST", "fact", "cue ", "bext", "JUNK", "id3 ", "iXML":
			return end, nil
		}
	}
	return end + 1, nil
}

// printable accepts four printable ASCII characters, which every registered name consists of.
func (id chunkID) printable() bool {
	for _, b := range id {
		if b < ' ' || b > '~' {
			return false
		}
	}
	return true
}

// formatError is an error at delta bytes from the start of the chunk's body.
func (h *header) formatError(c chunk, delta int64, found, expected, mend string) error {
	id := ""
	if c.id.printable() {
		id = string(c.id[:])
	}
	return &FormatError{Path: h.path, Chunk: id, Offset: c.bodyOffset + delta, Found: found, Expected: expected,
		Mend: mend}
}
