// A buffer in front of a file that can still go back to fill in a header.

package wav

import (
	"bufio"
	"io"
)

// bufferedSeeker gathers small writes into large ones and flushes before it moves.
type bufferedSeeker struct {
	*bufio.Writer
	seeker io.Seeker
}

func newBufferedSeeker(w io.WriteSeeker) *bufferedSeeker {
	return &bufferedSeeker{Writer: bufio.NewWriterSize(w, pieceBytes), seeker: w}
}

// Seek implements io.Seeker.
func (b *bufferedSeeker) Seek(offset int64, whence int) (int64, error) {
	if err := b.Flush(); err != nil {
		return 0, err
	}
	return b.seeker.Seek(offset, whence)
}
