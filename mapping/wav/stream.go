// WAVE into a pipe, where no byte can be changed afterwards.

package wav

import (
	"bytes"
	"errors"
	"io"
)

// Stream writes one form to where nothing can be written twice, such as a pipe: WriteFrames as often as needed, then
// Commit. Both sizes in its header are 0xFFFFFFFF, which readers of streams take for "up to the end".
type Stream struct{ *frameWriter }

// NewStream starts a form on out with 1 or 2 channels and 1 to 768000 frames a second. Errors call it name.
func NewStream(out io.Writer, name string, rateHz, channels int, f Format) (*Stream, error) {
	if err := checkForm(name, rateHz, channels, f); err != nil {
		return nil, err
	}
	frames, err := newFrameWriter(&unsized{out: out}, name, rateHz, channels, f, nil, nil, 0)
	return &Stream{frames}, err
}

// WriteFrames appends frames as Writer.WriteFrames does.
func (s *Stream) WriteFrames(interleaved []float32) error {
	if err := s.check(interleaved); err != nil {
		return err
	}
	return s.append(interleaved)
}

// Commit writes what is left in the buffer.
func (s *Stream) Commit() error { return s.flush() }

// Discard does nothing: what is written is gone.
func (s *Stream) Discard() {}

// unsized puts unknown sizes into the header.
type unsized struct {
	out io.Writer
	at  int64 // of the next Write
}

// Write implements io.Writer: the sizes of the header leave it as unknown.
func (u *unsized) Write(p []byte) (int, error) {
	if u.at < headerBytes {
		p = bytes.Clone(p)
	}
	for _, size := range []int64{4, headerBytes - 4} {
		for at := max(size-u.at, 0); at < min(size+4-u.at, int64(len(p))); at++ {
			p[at] = 0xFF // each byte of unknownSize32
		}
	}
	n, err := u.out.Write(p)
	u.at += int64(n)
	return n, err
}

// Seek implements io.Seeker, and cannot.
func (u *unsized) Seek(int64, int) (int64, error) {
	return 0, errors.New("a stream cannot go back")
}
