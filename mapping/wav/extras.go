// Chunks beside fmt and data, and where in a written file they go.

package wav

import "encoding/binary"

// Chunk is a chunk to be written as it stands.
type Chunk struct {
	ID   string // four characters
	Body []byte // without the pad byte
}

// bytes is the chunk as it stands in the file.
func (c Chunk) bytes() []byte {
	out := binary.LittleEndian.AppendUint32([]byte(c.ID), uint32(len(c.Body)))
	out = append(out, c.Body...)
	return append(out, make([]byte, len(c.Body)%2)...)
}

// Extras are the chunks of a file beside its sound, and what makes its dither its own.
type Extras struct {
	Before []Chunk // ahead of fmt, such as Broadcast's
	After  []Chunk // behind data, such as Sampler's
	Seed   uint64  // of the dither; see NewQuantiser
}

// joined are the bytes of chunks one behind the other.
func joined(chunks []Chunk) (all []byte) {
	for _, c := range chunks {
		all = append(all, c.bytes()...)
	}
	return all
}
