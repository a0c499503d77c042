// The walk along a form's chunks, in whatever order they stand.

package wav

import (
	"encoding/binary"
	"fmt"
)

// maxChunks bounds the walk through a file made of nothing but chunk headers. Recorders write a
// handful; every cue label and picture of a long session still stays far below.
const maxChunks = 4096

// chunk is where one chunk stands. sizeBytes is as declared, without the pad byte.
type chunk struct {
	id           string
	headerOffset int64
	bodyOffset   int64
	sizeBytes    int64 // unknownSize: to the end of the file
}

// walk notes fmt, data, smpl and ds64 and steps over everything else. What follows the sound and
// is no chunk is left alone: tags and padding are often appended there.
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
		if !isChunkID(c.id) {
			if h.data != nil && h.format != nil {
				return nil
			}
			return h.formatError(c, -8, fmt.Sprintf("bytes % x", c.id), "a chunk's name", fetchMend+"; its header is damaged")
		}
		if c.id == "data" {
			h.markUnknown(&c)
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

func (h *header) readChunk(offset int64) (chunk, error) {
	var b [8]byte
	if err := h.readAt(b[:], offset); err != nil {
		return chunk{}, err
	}
	id := string(b[:4])
	return chunk{id: id, headerOffset: offset, bodyOffset: offset + 8,
		sizeBytes: h.sizeOf(id, binary.LittleEndian.Uint32(b[4:]))}, nil
}

// take keeps what a chunk says if it is one we need.
func (h *header) take(c chunk) error {
	switch c.id {
	case "ds64", "fmt ", "smpl":
		if h.exceedsFile(c) {
			return h.formatError(c, -4, fmt.Sprintf("a size beyond the end of the file (%d bytes)", h.sizeBytes), "one within it", fetchMend)
		}
	}
	switch {
	case c.id == "ds64" && h.is64:
		return h.readDS64(c)
	case c.id == "fmt " && h.format == nil:
		format, err := h.readFormat(c)
		h.format = format
		return err
	case c.id == "data" && h.data == nil:
		h.data = &c
	case c.id == "smpl" && h.smpl == nil:
		h.smpl = &c
	case c.id == "fmt ", c.id == "data", c.id == "smpl":
		return h.formatError(c, -8, "a second "+c.id+" chunk", "one",
			"open the file in an audio editor and save it as a new WAV")
	}
	return nil
}

// markUnknown recognises the data sizes of writers that could not go back to fill them in.
func (h *header) markUnknown(c *chunk) {
	// An unclosed recording: size 0 although bytes follow, in a form that ends before them.
	unclosed := c.sizeBytes == 0 && (h.formEnd == unknownSize || h.formEnd <= c.bodyOffset)
	// What writers to a pipe put that stay below 2 GiB: 0x7FFFF000, rounded down to whole frames
	// of up to 64 KiB (seen from SoX 14.4: 0x7FFFEFFC for stereo 24-bit).
	const pipeSize = 0x7FFFF000
	piped := h.exceedsFile(*c) && c.sizeBytes <= pipeSize && c.sizeBytes > pipeSize-65536
	if unclosed || piped {
		c.sizeBytes = unknownSize
	}
}

// exceedsFile tells whether c declares more than the file holds, or an unknown size.
func (h *header) exceedsFile(c chunk) bool {
	return c.sizeBytes == unknownSize || c.sizeBytes > h.sizeBytes-c.bodyOffset
}

// next is where the chunk after c starts: behind the pad byte if the size is odd. Some writers
// forget the pad; that is seen by a known name where the zero should be.
func (h *header) next(c chunk) (int64, error) {
	end := c.bodyOffset + c.sizeBytes
	if c.sizeBytes%2 == 0 {
		return end, nil
	}
	if end <= h.sizeBytes-8 {
		var b [4]byte
		if err := h.readAt(b[:], end); err != nil {
			return 0, err
		}
		switch string(b[:]) {
		case "fmt ", "data", "smpl", "inst", "LIST", "fact", "cue ", "bext", "JUNK", "id3 ", "iXML":
			return end, nil
		}
	}
	return end + 1, nil
}

// isChunkID accepts four printable ASCII characters, which every registered name consists of.
func isChunkID(id string) bool {
	for i := range len(id) {
		if id[i] < ' ' || id[i] > '~' {
			return false
		}
	}
	return true
}

// formatError places the trouble at delta bytes from the chunk's body.
func (h *header) formatError(c chunk, delta int64, found, expected, mend string) error {
	id := c.id
	if !isChunkID(id) {
		id = ""
	}
	return &FormatError{Path: h.path, Chunk: id, Offset: c.bodyOffset + delta, Found: found, Expected: expected, Mend: mend}
}
