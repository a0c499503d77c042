// From a file to a Sound: which decoder a file's first bytes call for.

package decode

import (
	"errors"
	"fmt"
	"io"
	"os"

	"lapstrake/mapping/wav"
)

// input is a file on its way into a decoder.
type input struct {
	path string
	r    io.ReaderAt // the file behind ID3v2 tags, which players put in front of all kinds of files
	size int64       // bytes of r
	head []byte      // the first bytes of r
	out  output      // where its samples go
}

// headBytes is how much of a file is looked at to tell what it is: an MP3 stream may begin after junk.
const headBytes = 64 << 10

// File reads the sound file at path, whatever its name ends in. More than 30 minutes, 8 channels or
// 691 MB of decoded sound (30 minutes of 48 kHz stereo) is a *LimitError. A file of no frames is an error.
// File is safe for use by several goroutines.
func File(path string) (*Sound, error) { return Part(path, Span{}) }

func newInput(r io.ReaderAt, size int64, path string, out output) (*input, error) {
	at, err := id3Bytes(r, size)
	if err != nil {
		return nil, readError(path, err)
	}
	in := &input{path: path, r: io.NewSectionReader(r, at, size-at), size: size - at, out: out}
	in.head = make([]byte, min(headBytes, in.size))
	if _, err := io.ReadFull(io.NewSectionReader(in.r, 0, in.size), in.head); err != nil {
		return nil, readError(path, err)
	}
	return in, nil
}

// decode tries our own reader first, then, for what it does not know or cannot make sense of, ffmpeg. The samples go
// to in.out.
func (in *input) decode() (*Sound, error) {
	format := in.format()
	if format.read == nil {
		return in.decodeOther(format.name)
	}
	s, err := recovered(in, format.read)
	var limit *LimitError
	var failed *os.PathError
	if err == nil || in.out.refused != nil || errors.As(err, &limit) || errors.As(err, &failed) {
		return s, err
	}
	other, otherErr := decodeFFmpeg(in, format.name)
	switch {
	case otherErr == nil:
		// ffmpeg plays a FLAC frame whose CRC is wrong without a word.
		other.Damaged = format.name == "FLAC" && !errors.Is(err, errLongFLACFrame)
		return other, nil
	case in.out.refused != nil || errors.As(otherErr, &limit):
		return nil, otherErr
	}
	return nil, err
}

// decodeOther leaves the file to ffmpeg.
func (in *input) decodeOther(name string) (*Sound, error) {
	found, mend := wav.Identify(in.head[:min(len(in.head), 512)])
	refuse := func(mend string) error {
		return fmt.Errorf("%s: found %s, expected a sound file; %s", in.path, found, mend)
	}
	if in.size == 0 {
		return nil, refuse(mend)
	}
	s, err := decodeFFmpeg(in, name)
	var limit *LimitError
	var missing *noFFmpegError
	switch {
	case err == nil:
		return s, nil
	case in.out.refused != nil || errors.As(err, &limit):
		return nil, err
	case errors.As(err, &missing):
		return nil, refuse(mend + "; or, if it is a sound file of another kind, " + missing.mend())
	}
	return nil, refuse(fmt.Sprintf("%s (ffmpeg cannot read it either: %v)", mend, err))
}

// recovered runs a decoder whose library may panic on what is damaged.
func recovered(in *input, decode func(*input) (*Sound, error)) (s *Sound, err error) {
	defer func() {
		if fault := recover(); fault != nil {
			s, err = nil, fmt.Errorf("%s: found damage that its decoder stumbles over (%v), expected a whole file; "+
				"get the file again from where it came from", in.path, fault)
		}
	}()
	return decode(in)
}
