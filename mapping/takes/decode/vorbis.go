// Vorbis in Ogg, through jfreymuth/vorbis.

package decode

import (
	"fmt"
	"io"

	"github.com/jfreymuth/vorbis"
)

// decodeVorbis decodes a file of one stream. Others, such as several after each other, are left to ffmpeg.
func decodeVorbis(in *input) (*Sound, error) {
	position := int64(0)
	pages, _ := walkOgg(in.all(), func(page *oggPage) error {
		position = max(position, page.position)
		return nil
	})
	if pages.begun != 1 {
		return nil, fmt.Errorf("%s: found %d Ogg streams, expected one; save it anew as one sound",
			in.path, pages.begun)
	}
	v := &vorbisStream{in: in, likely: in.likely(position),
		sound: &Sound{Format: "Ogg", Truncated: pages.truncated(), Damaged: pages.wrongPages}}
	if _, err := walkOgg(in.all(), v.page); err != nil {
		return nil, err
	}
	if in.out.frames == 0 {
		return nil, v.fault("headers without sound behind them")
	}
	return v.sound, nil
}

// all is the file from its beginning.
func (in *input) all() io.Reader { return io.NewSectionReader(in.r, 0, in.size) }

// vorbisStream decodes a stream page by page.
type vorbisStream struct {
	in      *input
	sound   *Sound
	likely  int64 // frames
	decoder vorbis.Decoder
	headers int       // that have come
	packet  []byte    // what has come of one that goes on
	block   []float32 // room for a packet's samples
	samples []float32 // of the page, interleaved
	decoded int64     // frames of all pages so far
	ahead   int64     // frames that the stream's positions are ahead of that
	placed  bool      // ahead is known
}

func (v *vorbisStream) fault(found string) error {
	return fmt.Errorf("%s: found Vorbis %s, expected a stream that decodes; get the file again from where it came "+
		"from", v.in.path, found)
}

// page decodes the packets that end in a page: a packet is a run of segments of 255 bytes and a shorter one (RFC 3533,
// 5).
func (v *vorbisStream) page(page *oggPage) error {
	if page.missed {
		v.decoder.Clear()
		v.packet = v.packet[:0]
	}
	continues := page.flags&oggContinues != 0
	headless := continues && len(v.packet) == 0
	if !continues {
		v.packet = v.packet[:0]
	}
	v.samples = v.samples[:0]
	body := page.body
	for _, bytes := range page.segments {
		v.packet = append(v.packet, body[:bytes]...)
		body = body[bytes:]
		if bytes == 255 {
			continue
		}
		if !headless {
			if err := v.decode(v.packet); err != nil {
				return err
			}
		}
		v.packet, headless = v.packet[:0], false
	}
	return v.give(page)
}

// decode takes in one packet: three headers come first, of which the comments are passed over.
func (v *vorbisStream) decode(packet []byte) error {
	v.headers++
	switch v.headers {
	case 1:
		if v.decoder.ReadHeader(packet) != nil {
			return v.fault("headers that its decoder does not know")
		}
		v.sound.RateHz, v.sound.Channels = v.decoder.SampleRate(), newChannels(v.decoder.Channels(), 0)
		return v.in.out.begin(v.sound, v.likely)
	case 2:
		return nil
	case 3:
		if !vorbisSetupFits(packet) || v.decoder.ReadHeader(packet) != nil {
			return v.fault("headers that its decoder does not know")
		}
		v.block = make([]float32, v.decoder.BufferSize())
		return nil
	}
	if len(packet) == 0 || packet[0]&1 != 0 { // no sound: to be passed over (Vorbis I specification, 4.3.1)
		return nil
	}
	samples, err := v.decoder.DecodeInto(packet, v.block)
	if err != nil {
		return v.fault("packets that its decoder does not know")
	}
	v.samples = append(v.samples, samples...)
	return nil
}

// give hands on the samples of a page, but for those before the stream's beginning and behind its end, which the
// positions of its first and its last page tell (Vorbis I specification, A.2).
func (v *vorbisStream) give(page *oggPage) error {
	channels := max(1, len(v.sound.Channels))
	frames := int64(len(v.samples) / channels)
	if frames == 0 {
		return nil
	}
	v.decoded += frames
	first, last := int64(0), frames
	isLast := page.flags&oggLastPage != 0
	if !v.placed && !isLast {
		v.ahead = page.position - v.decoded
		first = min(max(0, -v.ahead), frames)
	}
	v.placed = true
	if isLast {
		v.sound.Truncated = v.sound.Truncated || v.decoded+v.ahead < page.position
		last = max(first, min(frames, frames-(v.decoded+v.ahead-page.position)))
	}
	if first == last {
		return nil
	}
	samples := v.samples[first*int64(channels) : last*int64(channels)]
	if order := vorbisOrders[channels]; order != nil {
		inOrder := make([]float32, len(samples))
		for i := range inOrder {
			inOrder[i] = samples[i-i%channels+order[i%channels]]
		}
		samples = inOrder
	}
	return v.in.out.add(samples)
}

// vorbisOrders tell, for each channel in the order of RFC 9639, 9.1.3, which one it is in a Vorbis stream (Vorbis I
// specification, 4.3.9). With one, two and four channels both orders are the same.
var vorbisOrders = map[int][]int{
	3: {0, 2, 1}, 5: {0, 2, 1, 3, 4}, 6: {0, 2, 1, 5, 3, 4}, 7: {0, 2, 1, 6, 5, 3, 4}, 8: {0, 2, 1, 7, 5, 6, 3, 4},
}
