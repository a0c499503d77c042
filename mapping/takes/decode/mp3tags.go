// What stands around the frames of an MP3 stream: ID3 and APE tags, and the Xing and LAME tags that say how
// much of the sound is the encoder's own padding.

package decode

import (
	"encoding/binary"
	"io"
)

// id3Bytes is the length of the ID3v2 tags at the start of a file (ID3v2.4.0, 3.1): "ID3", version, flags, a
// size of four times seven bits, and a footer of ten bytes when flag 0x10 says so.
func id3Bytes(r io.ReaderAt, size int64) (int64, error) {
	const headerBytes = 10
	at := int64(0)
	for at <= size-headerBytes {
		var head [headerBytes]byte
		if _, err := r.ReadAt(head[:], at); err != nil && err != io.EOF {
			return 0, err
		}
		if string(head[:3]) != "ID3" || (head[6]|head[7]|head[8]|head[9])&0x80 != 0 {
			break
		}
		at += headerBytes + (int64(head[6])<<21 | int64(head[7])<<14 | int64(head[8])<<7 | int64(head[9]))
		if head[5]&0x10 != 0 {
			at += headerBytes
		}
	}
	return min(at, size), nil
}

// mp3End is where the frames end: ahead of an ID3v1 tag (128 bytes from "TAG") and of an APE tag (a footer
// of 32 bytes from "APETAGEX", with the size of all but the header, which a flag announces).
func mp3End(in *input) (int64, error) {
	const id3v1Bytes, apeBytes = 128, 32
	end := in.size
	var tail [id3v1Bytes]byte
	if end >= id3v1Bytes {
		if _, err := in.r.ReadAt(tail[:], end-id3v1Bytes); err != nil && err != io.EOF {
			return 0, readError(in.path, err)
		}
		if string(tail[:3]) == "TAG" {
			end -= id3v1Bytes
		}
	}
	if end >= apeBytes {
		if _, err := in.r.ReadAt(tail[:apeBytes], end-apeBytes); err != nil && err != io.EOF {
			return 0, readError(in.path, err)
		}
		if string(tail[:8]) == "APETAGEX" {
			end -= int64(binary.LittleEndian.Uint32(tail[12:]))
			if binary.LittleEndian.Uint32(tail[20:])&(1<<31) != 0 {
				end -= apeBytes
			}
		}
	}
	return max(0, end), nil
}

// xingTag is what the first frame says in place of sound.
type xingTag struct {
	frames         int // MPEG frames that follow; 0: not stated
	delay, padding int // samples a channel to take off the start and the end
}

// decoderDelay is how late a layer III decoder's output is: 528 samples and one more of the filter bank
// (common practice; the LAME tag's figures are meant beside it).
const decoderDelay = 529

// readXing looks for a Xing or Info tag behind the side information of the frame that head begins with, and
// in it for the encoder's tag, which the programs that write one open with their own name: LAME, Lavf, Lavc.
func readXing(head []byte, h mp3Header) (tag xingTag, found bool) {
	sideBytes := [2][2]int{{17, 32}, {9, 17}}[h.low()][h.channels()-1]
	at := 4 + sideBytes
	if h>>16&1 == 0 { // a checksum follows the header
		at += 2
	}
	head = head[:min(len(head), h.frameBytes())]
	if len(head) < at+8 || string(head[at:at+4]) != "Xing" && string(head[at:at+4]) != "Info" {
		return tag, false
	}
	flags := binary.BigEndian.Uint32(head[at+4:])
	at += 8
	for bit, bytes := range [4]int{4, 4, 100, 4} { // frames, bytes, table of contents, quality
		if flags>>bit&1 == 0 {
			continue
		}
		if bit == 0 && len(head) >= at+4 {
			tag.frames = int(binary.BigEndian.Uint32(head[at:]) & 0xFFFFFF)
		}
		at += bytes
	}
	const encoderBytes, padsAt = 24, 21
	if len(head) < at+encoderBytes {
		return tag, true
	}
	switch string(head[at : at+4]) {
	case "LAME", "Lavf", "Lavc":
		pads := int(head[at+padsAt])<<16 | int(head[at+padsAt+1])<<8 | int(head[at+padsAt+2])
		tag.delay = pads>>12 + decoderDelay
		tag.padding = max(0, pads&0xFFF-decoderDelay)
	}
	return tag, true
}
