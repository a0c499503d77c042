// Whether the sound of a container that ffmpeg reads ends inside the file.

package decode

import (
	"encoding/binary"
	"io"
	"slices"
)

// chunkForm is how a container lays out its chunks: a name, a size, the content.
type chunkForm struct {
	firstAt   int64 // where the first chunk stands
	nameBytes int64
	sizeBytes int64 // up to 8
	bigEndian bool
	whole     bool  // the size counts name and size too
	align     int64 // to which chunks are padded
	end       bool  // a chunk named 0, without a size, ends the file
}

// chunkForms are those of containers whose cut files ffmpeg plays in silence: Apple, Core Audio Format Specification
// 1.0 (2005); Sonic Foundry, Wave64; Creative Labs, Voice File (the last two from memory).
var chunkForms = map[string]chunkForm{
	"CAF":    {firstAt: 8, nameBytes: 4, sizeBytes: 8, bigEndian: true, align: 1},
	"Wave64": {firstAt: 40, nameBytes: 16, sizeBytes: 8, whole: true, align: 8},
	"VOC":    {firstAt: 26, nameBytes: 1, sizeBytes: 3, align: 1, end: true},
}

// endsEarly tells whether the file ends before its sound does.
func (in *input) endsEarly(name string) bool {
	if name == "AU" {
		return in.auEndsEarly()
	}
	form, known := chunkForms[name]
	return known && in.endsInChunk(form)
}

// endsInChunk tells whether the file ends before one of its chunks does. A size of −1 says that the sound reaches to
// the end of the file.
func (in *input) endsInChunk(form chunkForm) bool {
	headerBytes := form.nameBytes + form.sizeBytes
	at := form.firstAt
	for range maxContainerChunks {
		header := make([]byte, min(headerBytes, max(0, in.size-at)))
		if _, err := in.r.ReadAt(header, at); err != nil && err != io.EOF {
			return true
		}
		if form.end && len(header) > 0 && header[0] == 0 {
			return false
		}
		if int64(len(header)) < headerBytes {
			return form.end
		}
		size := form.size(header[form.nameBytes:])
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

// maxContainerChunks bounds the walk; a VOC file has a chunk for every 4 kB.
const maxContainerChunks = 1 << 18

func (f chunkForm) size(field []byte) int64 {
	var number [8]byte
	copy(number[:], field)
	if f.bigEndian {
		slices.Reverse(number[:len(field)])
	}
	return int64(binary.LittleEndian.Uint64(number[:]))
}

// auEndsEarly holds the file against its header: after ".snd" the place and the size of the sound, 32 bits each; a
// size of −1 is not known (Sun Microsystems, audio_file_header(3), from memory). "dns." is the same in little-endian.
func (in *input) auEndsEarly() bool {
	if len(in.head) < 12 {
		return true
	}
	var order binary.ByteOrder = binary.BigEndian
	if in.begins("dns.") {
		order = binary.LittleEndian
	}
	at, size := order.Uint32(in.head[4:]), order.Uint32(in.head[8:])
	return size != 1<<32-1 && int64(at)+int64(size) > in.size
}
