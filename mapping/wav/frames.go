// Frames to the bytes of a plain RIFF form: what every file that is written here has in common.

package wav

import (
	"fmt"
	"io"

	"github.com/go-audio/audio"
	goaudio "github.com/go-audio/wav"
)

// frameWriter writes the header and the frames. What becomes of the file is for the type that embeds
// it to say.
type frameWriter struct {
	path     string // as errors name it
	buffer   *bufferedSeeker
	encoder  *goaudio.Encoder
	rateHz   int
	channels int
	format   Format

	quantiser  Quantiser
	frame      []byte // one frame as stored
	frameValue any    // frame again, boxed once: boxing it a frame would allocate
	frames     int64
	maxFrames  int64
}

// checkForm says whether a file with such a header can be written.
func checkForm(path string, rateHz, channels int, f Format) error {
	switch {
	case rateHz < 1 || rateHz > maxRateHz:
		return fmt.Errorf("%s: found a rate of %d Hz, expected 1 to %d; choose a usual one, such as 48000", path, rateHz, maxRateHz)
	case channels < 1 || channels > 2:
		return fmt.Errorf("%s: found %d channels, expected 1 or 2; mix down to stereo", path, channels)
	case !f.valid():
		return fmt.Errorf("%s: found an %v, expected PCM16, PCM24 or Float; choose one of these", path, f)
	}
	return nil
}

// newFrameWriter starts a form, which checkForm has passed, at the beginning of out.
func newFrameWriter(out io.WriteSeeker, path string, rateHz, channels int, f Format, seed uint64) (*frameWriter, error) {
	w := &frameWriter{
		path: path, buffer: newBufferedSeeker(out), rateHz: rateHz, channels: channels, format: f,
		quantiser: NewQuantiser(8*f.Encoding().Bytes(), seed), frame: make([]byte, channels*f.Encoding().Bytes()), maxFrames: maxFrames(channels, f),
	}
	w.frameValue = w.frame
	return w, w.writeHeader()
}

// writeHeader has the encoder write everything ahead of the sound, which it does at the first
// buffer, an empty one here: a file without frames is to have a header too.
func (w *frameWriter) writeHeader() error {
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

// check refuses what cannot be written: frames that are not whole, not all finite
// (*NotFiniteError) or too many for the file.
func (w *frameWriter) check(interleaved []float32) error {
	if len(interleaved)%w.channels != 0 {
		return fmt.Errorf("%s: frame %d: found %d samples, expected a multiple of the %d channels; pass whole frames",
			w.path, w.frames, len(interleaved), w.channels)
	}
	if at := firstNotFinite(interleaved); at >= 0 {
		return &NotFiniteError{Path: w.path, Frame: w.frames + int64(at/w.channels)}
	}
	if frames := w.frames + int64(len(interleaved)/w.channels); frames > w.maxFrames {
		return tooLongError(w.path, w.rateHz, w.channels, w.format, frames)
	}
	return nil
}

// append writes frames that check has passed.
func (w *frameWriter) append(interleaved []float32) error {
	sampleBytes := len(w.frame) / w.channels
	for at := 0; at < len(interleaved); at += w.channels {
		for channel := range w.channels {
			w.quantiser.put(w.frame[channel*sampleBytes:], interleaved[at+channel], w.format)
		}
		// Whole frames rather than the encoder's IntBuffer: that one allocates a sample at a time.
		if err := w.encoder.WriteFrame(w.frameValue); err != nil {
			return err
		}
	}
	w.frames += int64(len(interleaved) / w.channels)
	return nil
}

// Clipped is the number of samples so far that lay beyond full scale and were clipped; always 0
// for Float.
func (w *frameWriter) Clipped() int64 { return w.quantiser.Clipped() }
