// What a file's header says: the result of reading everything but the sound.

package wav

import (
	"io"
	"strings"
)

// Info describes the sound of one file.
type Info struct {
	RateHz     int // frames a second, 1 to 768000
	Channels   int // 1 mono, 2 stereo (left, right); ReadStereo takes no more, ReadFrames any
	Encoding   Encoding
	Frames     int64    // whole frames in the file
	DataOffset int64    // byte of the file at which frame 0 starts
	Sampler    *Sampler // from the smpl chunk, nil if there is none
}

// frameBytes is the size of one frame.
func (i Info) frameBytes() int { return i.Channels * i.Encoding.Bytes() }

// ReadInfo reads the header of a WAVE file of sizeBytes bytes; name is used in errors.
//
// A header whose data size is unknown, as streaming writers leave it, takes in everything up to
// the end of the file: 0xFFFFFFFF, 0x7FFFF000 beyond the end, or 0 in a form that was never
// closed. A data size that is known but larger than the file gives a *TruncatedError, beside an
// Info that describes what is there. Everything else that is wrong is a *FormatError; a read that
// fails is wrapped.
func ReadInfo(r io.ReaderAt, sizeBytes int64, name string) (Info, error) {
	h := header{r: r, sizeBytes: sizeBytes, path: name}
	if err := h.readForm(); err != nil {
		return Info{}, err
	}
	if err := h.walk(); err != nil {
		return Info{}, err
	}
	return h.info()
}

// info puts the chunks together once all are known, since fmt may stand behind data.
func (h *header) info() (Info, error) {
	if h.format == nil {
		return Info{}, h.missing("fmt ")
	}
	if h.data.bodyOffset == 0 {
		return Info{}, h.missing("data")
	}
	info := Info{
		RateHz: h.format.rateHz, Channels: h.format.channels, Encoding: h.format.encoding,
		DataOffset: h.data.bodyOffset,
	}
	frameBytes := int64(info.frameBytes())
	present := h.sizeBytes - h.data.bodyOffset
	declared := present
	if h.data.sizeBytes != unknownSize {
		declared = h.data.sizeBytes
	}
	info.Frames = min(declared, present) / frameBytes
	if declared/frameBytes > info.Frames {
		return info, &TruncatedError{Path: h.path, DeclaredFrames: declared / frameBytes, PresentFrames: info.Frames}
	}
	if h.smpl.bodyOffset != 0 {
		sampler, err := h.readSampler(h.smpl, info.Frames)
		if err != nil {
			return Info{}, err
		}
		info.Sampler = sampler
	}
	return info, nil
}

func (h *header) missing(id string) error {
	return &FormatError{Path: h.path, Offset: h.sizeBytes,
		Found: "the end of the file and no " + strings.TrimSpace(id) + " chunk", Expected: "one", Mend: fetchMend}
}
