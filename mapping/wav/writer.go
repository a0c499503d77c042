// A WAVE file being written, which appears whole or not at all.

package wav

import (
	"fmt"

	"github.com/go-audio/audio"
	goaudio "github.com/go-audio/wav"

	"lapstrake/mapping/whole"
)

// Writer writes one file: WriteFrames as often as needed, then Commit. It is not safe for
// concurrent use. Same frames, same bytes, however they are cut into calls.
type Writer struct {
	out      *whole.File
	buffer   *bufferedSeeker
	encoder  *goaudio.Encoder
	rateHz   int
	channels int
	format   Format

	quantiser  quantiser
	frame      []byte // one frame as stored
	frameValue any    // frame again, boxed once: boxing it a frame would allocate
	frames     int64
	maxFrames  int64
}

// Create starts a file at path with 1 or 2 channels and 1 to 768000 frames a second. Nothing
// appears there before Commit; defer Discard to leave nothing behind on an error.
func Create(path string, rateHz, channels int, f Format) (*Writer, error) {
	switch {
	case rateHz < 1 || rateHz > maxRateHz:
		return nil, fmt.Errorf("%s: found a rate of %d Hz, expected 1 to %d; choose a usual one, such as 48000", path, rateHz, maxRateHz)
	case channels < 1 || channels > 2:
		return nil, fmt.Errorf("%s: found %d channels, expected 1 or 2; mix down to stereo", path, channels)
	case !f.valid():
		return nil, fmt.Errorf("%s: found an %v, expected PCM16, PCM24 or Float; choose one of these", path, f)
	}
	out, err := whole.Create(path)
	if err != nil {
		return nil, err
	}
	w := &Writer{
		out: out, buffer: newBufferedSeeker(out), rateHz: rateHz, channels: channels, format: f,
		quantiser: newQuantiser(f), frame: make([]byte, channels*f.Encoding().Bytes()), maxFrames: maxFrames(channels, f),
	}
	w.frameValue = w.frame
	if err := w.writeHeader(); err != nil {
		out.Discard()
		return nil, err
	}
	return w, nil
}

// writeHeader has the encoder write everything ahead of the sound, which it does at the first
// buffer, an empty one here: a file without frames is to have a header too.
func (w *Writer) writeHeader() error {
	tag := tagPCM
	if w.format == Float {
		tag = tagFloat
	}
	// The encoder reserves a minute of sound at the rate it is made with, up to 370 MB, for a
	// path we do not take: it is made with 1 Hz and told the rate before it writes any.
	w.encoder = goaudio.NewEncoder(w.buffer, 1, 8*w.format.Encoding().Bytes(), w.channels, tag)
	w.encoder.SampleRate = w.rateHz
	return w.encoder.Write(&audio.IntBuffer{Format: &audio.Format{NumChannels: w.channels, SampleRate: w.rateHz}})
}

// WriteFrames appends len(interleaved)/channels frames, full scale ±1. The integer formats clip
// what lies beyond and count it. It fails, and writes none of the frames, if they are not whole,
// not all finite (*NotFiniteError) or too many for the file; after a write that failed only
// Discard is of use.
func (w *Writer) WriteFrames(interleaved []float32) error {
	if len(interleaved)%w.channels != 0 {
		return fmt.Errorf("%s: frame %d: found %d samples, expected a multiple of the %d channels; pass whole frames",
			w.out.Path(), w.frames, len(interleaved), w.channels)
	}
	if at := firstNotFinite(interleaved); at >= 0 {
		return &NotFiniteError{Path: w.out.Path(), Frame: w.frames + int64(at/w.channels)}
	}
	count := int64(len(interleaved) / w.channels)
	if w.frames+count > w.maxFrames {
		return tooLongError(w.out.Path(), w.rateHz, w.channels, w.format, w.frames+count)
	}
	sampleBytes := len(w.frame) / w.channels
	for at := 0; at < len(interleaved); at += w.channels {
		for channel := range w.channels {
			w.quantiser.put(w.frame[channel*sampleBytes:], interleaved[at+channel])
		}
		// Whole frames rather than the encoder's IntBuffer: that one allocates a sample at a time.
		if err := w.encoder.WriteFrame(w.frameValue); err != nil {
			return err
		}
	}
	w.frames += count
	return nil
}

// Clipped is the number of samples so far that lay beyond full scale and were clipped; always 0
// for Float.
func (w *Writer) Clipped() int64 { return w.quantiser.clipped }

// Commit completes the header and puts the file in place.
func (w *Writer) Commit() error {
	defer w.out.Discard()
	if w.frames*int64(len(w.frame))%2 != 0 { // the encoder knows no pad byte
		if err := w.encoder.AddLE(uint8(0)); err != nil {
			return err
		}
	}
	if err := w.encoder.Close(); err != nil {
		return err
	}
	return w.out.Commit()
}

// Discard leaves nothing of the file. It does nothing after Commit, so it can be deferred.
func (w *Writer) Discard() { w.out.Discard() }
