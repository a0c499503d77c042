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
		return nil, fmt.Errorf("%s: byte %d: found an MP3 stream that does not decode (%w), expected MPEG-1 or "+
			"MPEG-2 layer III; install ffmpeg, or convert it to WAV and put that in its place",
			in.path, start, err)
	}
	s = &Sound{RateHz: decoder.SampleRate(), Format: "MP3", Channels: newChannels(header.channels(), 0)}
	whole := tag.frames * header.frameSamples()
	if err := in.out.begin(s, in.likely(int64(whole))); err != nil {
		return nil, err
	}
	trim := mp3Trim{out: &in.out, channels: len(s.Channels), first: tag.delay, last: tag.padding}
	if err := s.readMP3(decoder, &trim); err != nil {
		return nil, err
	}
	if tagged && trim.frames < whole {
		s.Truncated = true
		trim.last = 0
	}
	return s, trim.pass()
}

// readMP3 reads to the end, or to where the stream breaks.
func (s *Sound) readMP3(decoder io.Reader, to *mp3Trim) error {
	const bytesPerFrame = 4 // 16-bit stereo
	raw := make([]byte, 8192*bytesPerFrame)
	block := make([]float32, len(raw)/bytesPerFrame*len(s.Channels))
	for {
		n, err := readUnlessPanic(decoder, raw)
		frames := n / bytesPerFrame
		step := 2 / len(s.Channels) // of a mono stream the left side alone
		for i := range frames * len(s.Channels) {
			block[i] = float32(int16(binary.LittleEndian.Uint16(raw[2*i*step:]))) / (1 << 15)
		}
		if err := to.add(block[:frames*len(s.Channels)]); err != nil {
			return err
		}
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

// readUnlessPanic is io.ReadFull from a decoder that stumbles over damage.
func readUnlessPanic(decoder io.Reader, raw []byte) (n int, err error) {
	defer func() {
		if fault := recover(); fault != nil {
			n, err = 0, fmt.Errorf("found damage (%v)", fault)
		}
	}()
	return io.ReadFull(decoder, raw)
}

// mp3Trim passes interleaved samples on without the first and the last frames, as far as there are any.
type mp3Trim struct {
	out         *output
	channels    int
	first, last int
	frames      int       // that came in
	held        []float32 // what may be the last
}

func (m *mp3Trim) add(interleaved []float32) error {
	frames := len(interleaved) / m.channels
	skipped := min(max(0, m.first-m.frames), frames)
	m.frames += frames
	m.held = append(m.held, interleaved[skipped*m.channels:]...)
	return m.pass()
}

// pass lets go of what cannot be the last.
func (m *mp3Trim) pass() error {
	sure := len(m.held) - m.last*m.channels
	if sure <= 0 {
		return nil
	}
	err := m.out.add(m.held[:sure])
	m.held = m.held[:copy(m.held, m.held[sure:])]
	return err
}
