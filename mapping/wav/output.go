// The encodings we write, and how long a file of each may be.

package wav

import (
	"fmt"
	"time"
)

// Format is the encoding of a written file.
type Format int

const (
	PCM16 Format = iota // 16-bit integers with TPDF dither
	PCM24               // 24-bit integers, rounded
	Float               // 32-bit floats, which keep what lies beyond full scale
)

var formats = [...]struct {
	word     string
	encoding Encoding
}{
	PCM16: {"16", Int16},
	PCM24: {"24", Int24},
	Float: {"float", Float32},
}

// ParseFormat takes "16", "24" or "float".
func ParseFormat(word string) (Format, error) {
	for format, known := range formats {
		if word == known.word {
			return Format(format), nil
		}
	}
	return 0, fmt.Errorf("sample format: found %q, expected 16, 24 or float; choose one of these", word)
}

// String gives the word ParseFormat takes.
func (f Format) String() string {
	if !f.valid() {
		return fmt.Sprintf("unknown format %d", int(f))
	}
	return formats[f].word
}

func (f Format) valid() bool { return f >= 0 && int(f) < len(formats) }

// Encoding is how a file of this format stores a sample.
func (f Format) Encoding() Encoding { return formats[f].encoding }

// maxFrames is how many frames fit in a RIFF form. The form's size is a 32-bit number, which also counts 36 bytes
// ahead of the sound and a pad byte, and whose largest value means "unknown".
func maxFrames(channels int, f Format) int64 {
	const countedBytes, padBytes = headerBytes - 8, 1
	return (unknownSize32 - 1 - countedBytes - padBytes) / int64(channels*f.Encoding().Bytes())
}

// CheckLength gives an error if so many frames do not fit in one file; path is used in the error.
func CheckLength(path string, rateHz, channels int, f Format, frames int64) error {
	if frames > maxFrames(channels, f) {
		return tooLongError(path, rateHz, channels, f, frames)
	}
	return nil
}

// tooLongError says how long a file may be.
func tooLongError(path string, rateHz, channels int, f Format, frames int64) error {
	limit := maxFrames(channels, f)
	longest := time.Duration(limit/int64(rateHz)) * time.Second
	return fmt.Errorf("%s: found %d frames to write, expected at most %d (%v at %d Hz, %d channels, %v), "+
		"which is what a WAVE file of 4 GiB holds; write it in parts, or with fewer bits a sample",
		path, frames, limit, longest, rateHz, channels, f.Encoding())
}
