// Frames to the bytes of a file: what Writer and Recording have in common.

package wav

import (
	"fmt"
	"io"
)

// frameWriter writes the header and the frames. What becomes of the file is up to the type that embeds it.
type frameWriter struct {
	*encoder
	path     string // as errors name it
	rateHz   int
	channels int
	format   Format

	quantiser Quantiser
	frames    int64
	maxFrames int64
}

// checkForm says whether a file with such a header can be written.
func checkForm(path string, rateHz, channels int, f Format) error {
	switch {
	case rateHz < 1 || rateHz > maxRateHz:
		return fmt.Errorf("%s: found a rate of %d Hz, expected 1 to %d; choose a usual one, such as 48000",
			path, rateHz, maxRateHz)
	case channels < 1 || channels > 2:
		return fmt.Errorf("%s: found %d channels, expected 1 or 2; mix down to stereo", path, channels)
	case !f.valid():
		return fmt.Errorf("%s: found an %v, expected PCM16, PCM24 or Float; choose one of these", path, f)
	}
	return nil
}

// newFrameWriter starts a form, which checkForm has passed, at the beginning of out. ahead holds the chunks ahead of
// fmt, between those between fmt and data, seed is that of the dither.
func newFrameWriter(
	out io.WriteSeeker, path string, rateHz, channels int, f Format, ahead, between []byte, seed uint64,
) (*frameWriter, error) {
	e, err := newEncoder(out, rateHz, channels, f, ahead, between)
	return &frameWriter{
		encoder: e, path: path, rateHz: rateHz, channels: channels, format: f,
		quantiser: NewQuantiser(8*f.Encoding().Bytes(), seed), maxFrames: maxFrames(channels, f),
	}, err
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
		if err := w.writeFrame(); err != nil {
			return err
		}
	}
	w.frames += int64(len(interleaved) / w.channels)
	return nil
}

// Clipped is the number of samples so far that lay beyond full scale and were clipped; always 0
// for Float.
func (w *frameWriter) Clipped() int64 { return w.quantiser.Clipped() }
