// Frames of a file as interleaved stereo floats.

package wav

import (
	"errors"
	"fmt"
	"io"
	"sync"
)

// pieceBytes is the most that is read at once: large enough that the system call's cost is small
// beside the decoding, small enough to stay in the processor's second cache.
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
	if err := f.checkRange(len(dst), posFrames); err != nil {
		return err
	}
	piece := pieces.Get().(*[pieceBytes]byte)
	defer pieces.Put(piece)
	frameBytes := f.Info.frameBytes()
	notFinite := int64(-1)
	for len(dst) > 0 {
		n := min(pieceBytes/frameBytes, len(dst)/2)
		raw := piece[:n*frameBytes]
		got, err := f.r.ReadAt(raw, f.Info.DataOffset+posFrames*int64(frameBytes))
		if got < len(raw) {
			return f.readError(posFrames+int64(got/frameBytes), err)
		}
		f.decodeStereo(dst[:2*n], raw)
		if f.Info.Encoding.isFloat() {
			if at := zeroNotFinite(dst[:2*n]); at >= 0 && notFinite < 0 {
				notFinite = posFrames + int64(at/2)
			}
		}
		dst, posFrames = dst[2*n:], posFrames+int64(n)
	}
	if notFinite >= 0 {
		return &NotFiniteError{Path: f.Path, Frame: notFinite}
	}
	return nil
}

func (f *File) checkRange(samples int, posFrames int64) error {
	if f.Info.Channels > 2 {
		return fmt.Errorf("%s: found %d channels, expected 1 or 2; mix it down to stereo, or save the channels you want as files of their own", f.Path, f.Info.Channels)
	}
	if samples%2 != 0 {
		return fmt.Errorf("%s: frame %d: asked for %d samples, expected an even number, two a frame; pass whole frames", f.Path, posFrames, samples)
	}
	frames := int64(samples / 2)
	if posFrames < 0 || posFrames > f.Info.Frames-frames {
		return fmt.Errorf("%s: frame %d: asked for %d frames, expected them within the file's %d; read less, or build anew if the file has changed",
			f.Path, posFrames, frames, f.Info.Frames)
	}
	return nil
}

func (f *File) readError(frame int64, err error) error {
	if err == nil || errors.Is(err, io.EOF) {
		return fmt.Errorf("%s: frame %d: %w, expected %d frames; the file was cut short since it was opened: put it back and start again",
			f.Path, frame, io.ErrUnexpectedEOF, f.Info.Frames)
	}
	return fmt.Errorf("%s: frame %d: cannot be read: %w; copy the file again, or check the disk", f.Path, frame, err)
}

// decodeStereo decodes raw into dst. A mono file is decoded into the second half, then spread.
func (f *File) decodeStereo(dst []float32, raw []byte) {
	if f.Info.Channels == 2 {
		Decode(dst, raw, f.Info.Encoding)
		return
	}
	mono := dst[len(dst)/2:]
	Decode(mono, raw, f.Info.Encoding)
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
