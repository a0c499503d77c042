// Whether the chunks of a container that ffmpeg reads end inside the file.

package decode

import (
	"encoding/binary"
	"io"
)

// chunkForm is how a container lays out its chunks: a name, a size of 64 bits, the content.
type chunkForm struct {
	firstAt   int64 // where the first chunk stands
	nameBytes int64
	order     binary.ByteOrder
	whole     bool  // the size counts name and size too
	align     int64 // to which chunks are padded
}

// chunkForms are those of containers whose cut files ffmpeg plays in silence: Apple, Core Audio Format Specification
// 1.0
// (2005); Sonic Foundry, Wave64 (from memory).
var chunkForms = map[string]chunkForm{
	"CAF":    {firstAt: 8, nameBytes: 4, order: binary.BigEndian, align: 1},
	"Wave64": {firstAt: 40, nameBytes: 16, order: binary.LittleEndian, whole: true, align: 8},
}

// endsInChunk tells whether the file ends before one of its chunks does. A size of −1 says that the sound reaches to
// the end of the file.
func (in *input) endsInChunk(name string) bool {
	form, known := chunkForms[name]
	if !known {
		return false
	}
	headerBytes := form.nameBytes + 8
	at := form.firstAt
	for range maxAIFFChunks {
		if at > in.size-headerBytes {
			return false
		}
		header := make([]byte, headerBytes)
		if _, err := in.r.ReadAt(header, at); err != nil && err != io.EOF {
			return true
		}
		size := int64(form.order.Uint64(header[form.nameBytes:]))
		if form.whole {
			size -= headerBytes
		}
		if size < 0 {
			return false
		}
		if size > in.size-at-headerBytes {
			return true
		}
		at += headerBytes + (size+form.align-1)/form.align*form.align
	}
	return false
}
