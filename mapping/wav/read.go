// Frames of a file as interleaved floats.

package wav

import (
	"errors"
	"fmt"
	"io"
	"sync"
)

// pieceBytes is the most that is read at once: large enough that the system call's cost is small
// beside the decoding, small enough to stay in the processor's second cache. A frame always fits: its
// size is a 16-bit field of the header.
const pieceBytes = 64 << 10

var pieces = sync.Pool{New: func() any { return new([pieceBytes]byte) }}

// ReadStereo fills dst with len(dst)/2 interleaved frames from frame posFrames on, full scale ±1.
// A mono file goes to both sides. It is safe for concurrent use and allocates nothing once warm.
//
// It fails, naming file and frame, if the frames are not all within the file, if the file has more
// than two channels, or if a read fails or falls short; dst then holds what was read before. A NaN
// or infinity gives a *NotFiniteError for the first one; all of dst is filled nevertheless, with 0
// in place of each such sample.
func (f *File) ReadStereo(dst []float32, posFrames int64) error {
	if f.Info.Channels > 2 {
		return fmt.Errorf("%s: found %d channels, expected 1 or 2; "+
			"mix it down to stereo, or save the channels you want as files of their own", f.Path, f.Info.Channels)
	}
	if err := f.checkRange(len(dst), 2, posFrames); err != nil {
		return err
	}
	if f.Info.Channels == 1 {
		return f.read(dst, 2, posFrames, decodeMonoTwice)
	}
	return f.read(dst, 2, posFrames, Decode)
}

// ReadFrames fills dst with frames from frame posFrames on, as ReadStereo does, but with all channels of
// the file as they stand, interleaved. len(dst) is a multiple of Info.Channels.
func (f *File) ReadFrames(dst []float32, posFrames int64) error {
	if err := f.checkRange(len(dst), f.Info.Channels, posFrames); err != nil {
		return err
	}
	return f.read(dst, f.Info.Channels, posFrames, Decode)
}

// read fills dst with frames of width samples, which decode makes from the bytes of the file.
func (f *File) read(dst []float32, width int, posFrames int64, decode func([]float32, []byte, Encoding)) error {
	piece := pieces.Get().(*[pieceBytes]byte)
	defer pieces.Put(piece)
	frameBytes := f.Info.frameBytes()
	notFinite := int64(-1)
	for len(dst) > 0 {
		n := min(pieceBytes/frameBytes, len(dst)/width)
		raw := piece[:n*frameBytes]
		got, err := f.r.ReadAt(raw, f.Info.DataOffset+posFrames*int64(frameBytes))
		if got < len(raw) {
			return f.readError(posFrames+int64(got/frameBytes), err)
		}
		decode(dst[:width*n], raw, f.Info.Encoding)
		if f.Info.Encoding.IsFloat() {
			if at := zeroNotFinite(dst[:width*n]); at >= 0 && notFinite < 0 {
				notFinite = posFrames + int64(at/width)
			}
		}
		dst, posFrames = dst[width*n:], posFrames+int64(n)
	}
	if notFinite >= 0 {
		return &NotFiniteError{Path: f.Path, Frame: notFinite}
	}
	return nil
}

func (f *File) checkRange(samples, width int, posFrames int64) error {
	if samples%width != 0 {
		return fmt.Errorf("%s: frame %d: asked for %d samples, expected a multiple of the %d of a frame; pass whole "+
			"frames",
			f.Path, posFrames, samples, width)
	}
	frames := int64(samples / width)
	if posFrames < 0 || posFrames > f.Info.Frames-frames {
		return fmt.Errorf("%s: frame %d: asked for %d frames, expected them within the file's %d; "+
			"read less, or build anew if the file has changed", f.Path, posFrames, frames, f.Info.Frames)
	}
	return nil
}

func (f *File) readError(frame int64, err error) error {
	if err == nil || errors.Is(err, io.EOF) {
		return fmt.Errorf("%s: frame %d: %w, expected %d frames; "+
			"the file was cut short since it was opened: put it back whole", f.Path, frame,
			io.ErrUnexpectedEOF, f.Info.Frames)
	}
	return fmt.Errorf("%s: frame %d: cannot be read: %w; copy the file again, or check the disk", f.Path, frame, err)
}

// decodeMonoTwice decodes a mono file into the second half of dst, then spreads it.
func decodeMonoTwice(dst []float32, raw []byte, e Encoding) {
	mono := dst[len(dst)/2:]
	Decode(mono, raw, e)
	spreadMono(dst, mono)
}

// spreadMono writes each sample of mono to both sides of a frame of dst. mono may be the second
// half of dst: frame i is written at 2i and 2i+1, never beyond the sample being read.
func spreadMono(dst, mono []float32) {
	dst = dst[:2*len(mono)]
	for i, sample := range mono {
		dst[2*i] = sample
		dst[2*i+1] = sample
	}
}
