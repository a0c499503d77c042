// AIFF and AIFF-C takes: the form and its chunks.
//
// An AIFF file is "FORM", a size, "AIFF" or "AIFC", then chunks in any order: a name of four characters, a
// 32-bit size, that many bytes, and a pad byte when their number is odd. All numbers are big-endian. COMM
// says how the samples are stored, SSND holds them behind an offset and a block size. Layouts: Apple,
// Audio Interchange File Format, version 1.3, 1989; Apple, AIFF-C, draft 1991.

package decode

import (
	"encoding/binary"
	"fmt"
	"io"

	"lapstrake/mapping/wav"
)

const (
	aiffFetchMend   = "get the file again from where it came from"
	aiffConvertMend = "convert it to AIFF or WAV, 16- or 24-bit, and put that in its place"
	maxAIFFChunks   = 4096 // bounds the walk through a file made of nothing but chunk headers
)

// aiff is what has been gathered of one file so far.
type aiff struct {
	in         *input
	compressed bool // AIFF-C: COMM names the storage
	common     *aiffCommon
	sound      aiffChunk // SSND; at 0: not met yet
}

// aiffChunk is where a chunk's content stands.
type aiffChunk struct {
	id        string
	at        int64
	sizeBytes int64 // as declared
}

func decodeAIFF(in *input) (*Sound, error) {
	f := &aiff{in: in, compressed: in.begins("FORM????AIFC")}
	if err := f.walk(); err != nil {
		return nil, err
	}
	if f.common == nil {
		return nil, f.formatError(aiffChunk{at: in.size}, 0, "the end of the file and no COMM chunk",
			"one", aiffFetchMend)
	}
	return f.decode()
}

// walk notes COMM and SSND and steps over everything else. What follows the sound and is no chunk is left
// alone.
func (f *aiff) walk() error {
	const formBytes = 12
	at := int64(formBytes)
	for range maxAIFFChunks {
		if at > f.in.size-8 || f.common != nil && f.sound.at != 0 {
			return nil
		}
		var header [8]byte
		if err := f.readAt(header[:], at); err != nil {
			return err
		}
		c := aiffChunk{string(header[:4]), at + 8, int64(binary.BigEndian.Uint32(header[4:]))}
		switch c.id {
		case "COMM":
			common, err := f.readCommon(c)
			if err != nil {
				return err
			}
			f.common = common
		case "SSND":
			f.sound = c
		}
		at = c.at + c.sizeBytes + c.sizeBytes%2
	}
	return f.formatError(aiffChunk{at: at}, 0, fmt.Sprintf("more than %d chunks", maxAIFFChunks), "a handful",
		aiffFetchMend+"; it is damaged")
}

// frames finds the sound: where it begins, how many frames of it are there, and whether that is less than
// was declared.
func (f *aiff) frames() (at, frames int64, truncated bool, err error) {
	declared := f.common.frames
	if f.sound.at == 0 { // lawful when there are no frames
		return 0, 0, declared > 0, nil
	}
	var head [8]byte
	if f.sound.at > f.in.size-8 {
		return 0, 0, true, nil
	}
	if err := f.readAt(head[:], f.sound.at); err != nil {
		return 0, 0, false, err
	}
	at = f.sound.at + 8 + int64(binary.BigEndian.Uint32(head[:]))
	present := max(0, f.in.size-at)
	// A recorder that was stopped before it could fill in the sizes leaves 0: all that follows is sound.
	unclosed := declared == 0 && f.sound.sizeBytes <= 8
	if inChunk := f.sound.at + f.sound.sizeBytes - at; !unclosed {
		present = max(0, min(present, inChunk))
	}
	frames = present / f.common.frameBytes()
	if unclosed {
		return at, frames, frames > 0, nil
	}
	return at, min(frames, declared), frames < declared, nil
}

func (f *aiff) readAt(buf []byte, at int64) error {
	if _, err := f.in.r.ReadAt(buf, at); err != nil && err != io.EOF {
		return readError(f.in.path, err)
	}
	return nil
}

// formatError places the trouble at delta bytes from the chunk's content.
func (f *aiff) formatError(c aiffChunk, delta int64, found, expected, mend string) error {
	return &wav.FormatError{Path: f.in.path, Chunk: c.id, Offset: c.at + delta, Found: found, Expected: expected,
		Mend: mend}
}
