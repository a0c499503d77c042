// MP3 takes, through hajimehoshi/go-mp3.

package decode

import (
	"encoding/binary"
	"fmt"
	"io"

	"github.com/hajimehoshi/go-mp3"
)

// decodeMP3 decodes MPEG-1 and MPEG-2 layer III. The encoder's delay and padding are cut off where a
// LAME tag states them. The library gives 16-bit stereo; a mono stream becomes one channel again.
func decodeMP3(in *input) (s *Sound, err error) {
	start := int64(findMP3(in.head))
	header := mp3Header(binary.BigEndian.Uint32(in.head[start:]))
	tag, tagged := readXing(in.head[start:], header)
	if tagged { // its frame holds no sound
		start += int64(header.frameBytes())
	}
	end, err := mp3End(in)
	if err != nil {
		return nil, err
	}
	// Not a seeker: the library would read all of it once more to find its length.
	stream := struct{ io.Reader }{io.NewSectionReader(in.r, start, max(0, end-start))}
	decoder, err := mp3.NewDecoder(stream)
	if err != nil {
		return nil, fmt.Errorf("%s: byte %d: found an MP3 stream that does not decode (%w), expected MPEG-1 or MPEG-2 "+
			"layer III; install ffmpeg, or convert it to WAV and put that in its place",
			in.path, start, err)
	}
	s = &Sound{RateHz: decoder.SampleRate(), Format: "MP3", Channels: newChannels(header.channels(), 0)}
	if err := s.fillMP3(in.path, decoder); err != nil {
		return nil, err
	}
	whole := tag.frames * header.frameSamples()
	if tagged && s.Frames() < whole {
		s.Truncated = true
		tag.padding = 0
	}
	s.cut(tag.delay, tag.padding)
	return s, nil
}

// fillMP3 reads to the end, or to where the stream breaks.
func (s *Sound) fillMP3(path string, decoder io.Reader) (err error) {
	defer func() {
		if fault := recover(); fault != nil {
			s.Truncated = true
		}
	}()
	const bytesPerFrame = 4 // 16-bit stereo
	raw := make([]byte, 8192*bytesPerFrame)
	block := make([]float32, len(raw)/bytesPerFrame*len(s.Channels))
	for {
		n, err := io.ReadFull(decoder, raw)
		frames := n / bytesPerFrame
		if err := checkLimits(path, int64(s.Frames()+frames), len(s.Channels), s.RateHz); err != nil {
			return err
		}
		step := 2 / len(s.Channels) // of a mono stream the left side alone
		for i := range frames * len(s.Channels) {
			block[i] = float32(int16(binary.LittleEndian.Uint16(raw[2*i*step:]))) / (1 << 15)
		}
		appendFrames(s.Channels, block[:frames*len(s.Channels)])
		switch err {
		case nil:
		case io.EOF, io.ErrUnexpectedEOF:
			return nil
		default:
			s.Truncated = true
			return nil
		}
	}
}

// cut takes frames off both ends, as far as there are any.
func (s *Sound) cut(first, last int) {
	first = min(first, s.Frames())
	end := max(first, s.Frames()-last)
	for c, channel := range s.Channels {
		s.Channels[c] = channel[first:end]
	}
}
