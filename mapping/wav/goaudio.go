// The go-audio encoder, and what it takes to write with it. Nothing else here knows that encoder.

package wav

import (
	"bufio"
	"io"

	"github.com/go-audio/audio"
	goaudio "github.com/go-audio/wav"
)

// encoder writes a RIFF form: fmt and data with other chunks ahead of, between and behind them. Its frames are bytes
// as they are stored.
type encoder struct {
	inner   *goaudio.Encoder
	buffer  *bufferedSeeker
	others  int    // bytes of the chunks ahead of fmt, and between fmt and data
	frame   []byte // the next frame, filled in by the caller of writeFrame
	boxed   any    // frame as the encoder takes it
	written int64  // bytes of sound
}

// newEncoder starts a form at the beginning of out, with the bytes of whole chunks ahead of fmt and between fmt and
// data, and writes everything up to the first frame.
func newEncoder(out io.WriteSeeker, rateHz, channels int, f Format, ahead, between []byte) (*encoder, error) {
	// The encoder writes each field of a header and each frame by itself: a buffer makes large writes of them.
	const plainFormatBytes = 24 // with the head of the chunk
	whole := &inserted{WriteSeeker: out, from: formBytes, bytes: ahead}
	whole = &inserted{WriteSeeker: whole, from: formBytes + plainFormatBytes, bytes: between}
	e := &encoder{buffer: newBufferedSeeker(whole), others: len(ahead) + len(between)}
	e.frame = make([]byte, channels*f.Encoding().Bytes())
	e.boxed = e.frame // once: a conversion for every frame would allocate
	tag := tagPCM
	if f == Float {
		tag = tagFloat
	}
	// The encoder reserves memory for a minute of sound at the rate that it is made with, up to 370 MB, and never uses
	// it for whole frames. It is made with 1 Hz and gets the rate before it writes any.
	e.inner = goaudio.NewEncoder(e.buffer, 1, 8*f.Encoding().Bytes(), channels, tag)
	e.inner.SampleRate = rateHz
	// The encoder writes its header with the first sound. An empty buffer gives a file without frames a header too.
	return e, e.inner.Write(&audio.IntBuffer{Format: &audio.Format{NumChannels: channels, SampleRate: rateHz}})
}

// writeFrame appends e.frame. The encoder's own way, an IntBuffer, allocates for each sample and knows no floats.
func (e *encoder) writeFrame() error {
	e.written += int64(len(e.frame))
	return e.inner.WriteFrame(e.boxed)
}

// flush passes on what the buffer holds. The sizes in the header stay as they are.
func (e *encoder) flush() error { return e.buffer.Flush() }

// close appends the bytes of whole chunks behind data and fills in the sizes.
func (e *encoder) close(behind []byte) error {
	if e.written%2 != 0 { // the encoder writes no pad byte
		behind = append([]byte{0}, behind...)
	}
	if err := e.inner.AddLE(behind); err != nil {
		return err
	}
	e.inner.WrittenBytes += e.others // of which the encoder knows nothing; the form's size counts them
	return e.inner.Close()           // which flushes: it goes back to the sizes
}

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

// inserted puts bytes at a place of a form. The encoder, which can write no chunk ahead of data but fmt, counts
// positions as if they were not there.
type inserted struct {
	io.WriteSeeker
	from  int64 // where they go, as the encoder counts
	bytes []byte
	at    int64 // of the next Write, as the encoder counts
}

// Write implements io.Writer.
func (i *inserted) Write(p []byte) (int, error) {
	n := len(p)
	if room := i.from - i.at; room > 0 && int64(n) >= room {
		if _, err := i.WriteSeeker.Write(p[:room]); err != nil {
			return 0, err
		}
		if _, err := i.WriteSeeker.Write(i.bytes); err != nil {
			return 0, err
		}
		i.at, p = i.from, p[room:]
	}
	written, err := i.WriteSeeker.Write(p)
	i.at += int64(written)
	return n - len(p) + written, err
}

// Seek implements io.Seeker, for positions that have been written and for the end.
func (i *inserted) Seek(offset int64, whence int) (int64, error) {
	if whence == io.SeekStart && offset >= i.from {
		offset += int64(len(i.bytes))
	}
	at, err := i.WriteSeeker.Seek(offset, whence)
	if at >= i.from {
		at -= int64(len(i.bytes))
	}
	i.at = max(at, i.from) // the bytes are not inserted again
	return at, err
}
