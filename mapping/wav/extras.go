// Chunks beside fmt and data, and where they go in a written file.

package wav

import "encoding/binary"

// Chunk is a chunk to be written.
type Chunk struct {
	ID   string // four characters
	Body []byte // without the pad byte
}

// Bytes is the chunk as it stands in the file, its pad byte included.
func (c Chunk) Bytes() []byte {
	out := binary.LittleEndian.AppendUint32([]byte(c.ID), uint32(len(c.Body)))
	out = append(out, c.Body...)
	return append(out, make([]byte, len(c.Body)%2)...)
}

// Extras are what a file holds beside its sound, and the seed of its dither.
type Extras struct {
	Before  []Chunk // ahead of fmt, such as Broadcast's
	Between []Chunk // between fmt and data, such as CueChunks'
	After   []Chunk // behind data, such as Sampler's
	Seed    uint64  // of the dither; see NewQuantiser
}

// joined are the bytes of chunks one behind the other.
func joined(chunks []Chunk) (all []byte) {
	for _, c := range chunks {
		all = append(all, c.Bytes()...)
	}
	return all
}
