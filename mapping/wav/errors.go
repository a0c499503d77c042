// What can be wrong with a WAVE file. Every error names the file, the place, and the mend.

package wav

import (
	"fmt"
	"strings"
)

// FormatError is a file that is not WAVE, or is damaged, or stores sound in a way we do not read.
type FormatError struct {
	Path     string
	Chunk    string // the chunk's four characters, "" for the file as a whole
	Offset   int64  // byte of the file at which the fault stands
	Found    string
	Expected string
	Mend     string
}

// Error gives one line: place, what was found, what was expected, the mend.
func (e *FormatError) Error() string {
	place := ""
	if e.Chunk != "" {
		place = fmt.Sprintf("%s chunk, ", strings.TrimSpace(e.Chunk))
	}
	return fmt.Sprintf("%s: %sbyte %d: found %s, expected %s; %s", e.Path, place, e.Offset, e.Found,
		e.Expected, e.Mend)
}

// TruncatedError is a file that ends before the sound its header declares.
type TruncatedError struct {
	Path           string
	DeclaredFrames int64
	PresentFrames  int64
}

// Error says how much was declared and how much is there.
func (e *TruncatedError) Error() string {
	return fmt.Sprintf("%s: cut short: the header declares %d frames, %d are there; "+
		"get the whole file again, or open it in an audio editor and save what is there as a new WAV", e.Path,
		e.DeclaredFrames, e.PresentFrames)
}

// NotFiniteError is a float sample that is NaN or infinite, or too large for 32-bit float.
type NotFiniteError struct {
	Path  string
	Frame int64 // the first such frame
}

// Error names the frame.
func (e *NotFiniteError) Error() string {
	return fmt.Sprintf("%s: frame %d: found a sample that is not a finite number, expected floats around ±1; "+
		"make the sound again, or repair that spot in an audio editor", e.Path, e.Frame)
}
