// Chunks beside fmt and data, and where in a written file they go.

package wav

import (
	"encoding/binary"
	"io"
)

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

func (e Extras) before() []byte { return joined(e.Before) }
func (e Extras) after() []byte  { return joined(e.After) }

func joined(chunks []Chunk) (all []byte) {
	for _, c := range chunks {
		all = append(all, c.bytes()...)
	}
	return all
}

// inserted puts bytes behind a form's first 12, of which the one who writes the form knows nothing: to that one,
// positions are as without them.
type inserted struct {
	io.WriteSeeker
	bytes []byte
	at    int64 // of the next Write, as the writer counts
}

func (i *inserted) Write(p []byte) (int, error) {
	n := len(p)
	if room := formBytes - i.at; room > 0 && int64(n) >= room {
		if _, err := i.WriteSeeker.Write(p[:room]); err != nil {
			return 0, err
		}
		if _, err := i.WriteSeeker.Write(i.bytes); err != nil {
			return 0, err
		}
		i.at, p = formBytes, p[room:]
	}
	written, err := i.WriteSeeker.Write(p)
	i.at += int64(written)
	return n - len(p) + written, err
}

// Seek goes back to fields that have been written once, from the start, or to the end.
func (i *inserted) Seek(offset int64, whence int) (int64, error) {
	if whence == io.SeekStart && offset >= formBytes {
		offset += int64(len(i.bytes))
	}
	at, err := i.WriteSeeker.Seek(offset, whence)
	if at >= formBytes {
		at -= int64(len(i.bytes))
	}
	i.at = max(at, formBytes) // what stands ahead is not inserted twice
	return at, err
}
