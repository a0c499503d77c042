// A WAVE file being written, which appears whole or not at all.

package wav

import "lapstrake/mapping/whole"

// Writer writes one file: WriteFrames as often as needed, then Commit. It is not safe for
// concurrent use. Same frames, same bytes, however they are cut into calls.
type Writer struct {
	*frameWriter
	out    *whole.File
	behind []byte // chunks behind data
}

// Create starts a file at path with 1 or 2 channels and 1 to 768000 frames a second. Nothing
// appears there before Commit; defer Discard to leave nothing behind on an error.
func Create(path string, rateHz, channels int, f Format) (*Writer, error) {
	return CreateWith(path, rateHz, channels, f, Extras{})
}

// CreateWith is Create for a file that holds other chunks beside its sound.
func CreateWith(path string, rateHz, channels int, f Format, extras Extras) (*Writer, error) {
	if err := checkForm(path, rateHz, channels, f); err != nil {
		return nil, err
	}
	out, err := whole.Create(path)
	if err != nil {
		return nil, err
	}
	ahead, between, behind := joined(extras.Before), joined(extras.Between), joined(extras.After)
	frames, err := newFrameWriter(out, path, rateHz, channels, f, ahead, between, extras.Seed)
	if err != nil {
		out.Discard()
		return nil, err
	}
	frameBytes := int64(len(frames.frame))
	// the form's size counts them too
	frames.maxFrames -= (int64(len(ahead)+len(between)+len(behind)) + frameBytes - 1) / frameBytes
	return &Writer{frames, out, behind}, nil
}

// WriteFrames appends len(interleaved)/channels frames, full scale ±1. The integer formats clip what
// lies beyond and count it. Frames that are not whole, not all finite (*NotFiniteError) or too many for
// the file are refused: none of them is written. After a disk's error only Discard is of use.
func (w *Writer) WriteFrames(interleaved []float32) error {
	if err := w.check(interleaved); err != nil {
		return err
	}
	return w.append(interleaved)
}

// Commit completes the header and puts the file in place.
func (w *Writer) Commit() error {
	defer w.out.Discard()
	if err := w.close(w.behind); err != nil {
		return err
	}
	return w.out.Commit()
}

// Discard leaves nothing of the file. It does nothing after Commit, so it can be deferred.
func (w *Writer) Discard() { w.out.Discard() }
