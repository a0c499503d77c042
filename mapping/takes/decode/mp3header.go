// The header of an MP3 frame, and where in a file the first one stands (ISO/IEC 11172-3, 2.4.1.3 and
// 2.4.2.3; ISO/IEC 13818-3, 2.4.2.3).

package decode

import "encoding/binary"

// mp3Header is a frame's first 32 bits: 11 of sync, version, layer, protection, bit rate, sampling rate, padding,
// private, mode and more.
type mp3Header uint32

// mp3HeaderMask covers what stays the same from frame to frame: sync, version, layer, sampling rate.
const mp3HeaderMask = 0xFFFE0C00

var mp3BitRates = [2][15]int{ // kbit/s of layer III by MPEG version, 1 then 2; 0 is free format
	{0, 32, 40, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320},
	{0, 8, 16, 24, 32, 40, 48, 56, 64, 80, 96, 112, 128, 144, 160},
}

// valid tells whether it is a header of MPEG-1, 2 or 2.5 layer III with a stated bit rate.
func (h mp3Header) valid() bool {
	sync, layer := h>>21 == 0x7FF, h>>17&3
	version, bitRate, rate := h>>19&3, h>>12&15, h>>10&3
	return sync && layer == 1 && version != 1 && bitRate != 0 && bitRate != 15 && rate != 3
}

// low is 0 for MPEG-1 and 1 for the low sampling rates of MPEG-2 and 2.5.
func (h mp3Header) low() int {
	if h>>19&3 == 3 {
		return 0
	}
	return 1
}

func (h mp3Header) rateHz() int {
	rateHz := [3]int{44100, 48000, 32000}[h>>10&3] >> h.low()
	if h>>19&3 == 0 { // MPEG 2.5
		rateHz /= 2
	}
	return rateHz
}

func (h mp3Header) channels() int {
	if h>>6&3 == 3 {
		return 1
	}
	return 2
}

// frameSamples is the length of a frame in samples a channel.
func (h mp3Header) frameSamples() int { return 1152 >> h.low() }

// frameBytes is the length of a frame, header included.
func (h mp3Header) frameBytes() int {
	return h.frameSamples()/8*1000*mp3BitRates[h.low()][h>>12&15]/h.rateHz() + int(h>>9&1)
}

// findMP3 is where in head the first frame stands, or -1. Three headers in a row that agree, or fewer at the
// end of a short file that begins with one, make an MP3 stream: two bytes alone look like one in any noise.
func findMP3(head []byte) int {
	for at := 0; at+4 <= len(head); at++ {
		if head[at] == 0xFF && mp3FollowsAt(head, at) {
			return at
		}
	}
	return -1
}

func mp3FollowsAt(head []byte, start int) bool {
	first := mp3Header(binary.BigEndian.Uint32(head[start:]))
	at := start
	for range 3 {
		if at+4 > len(head) {
			return start == 0 && at > 0
		}
		h := mp3Header(binary.BigEndian.Uint32(head[at:]))
		if !h.valid() || (h^first)&mp3HeaderMask != 0 {
			return false
		}
		at += h.frameBytes()
	}
	return true
}
