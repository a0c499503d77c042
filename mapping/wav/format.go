// The fmt chunk: how samples are stored.

package wav

import (
	"bytes"
	"encoding/binary"
	"fmt"
)

// Format tags (RFC 2361; mmreg.h).
const (
	tagPCM        = 1
	tagFloat      = 3
	tagALaw       = 6
	tagMuLaw      = 7
	tagExtensible = 0xFFFE
)

const maxRateHz = 768000

// subformatTail is what follows the format tag in the GUID of WAVEFORMATEXTENSIBLE
// (RFC 2361: xxxxxxxx-0000-0010-8000-00AA00389B71).
var subformatTail = []byte{0, 0, 0, 0, 0x10, 0, 0x80, 0, 0, 0xaa, 0, 0x38, 0x9b, 0x71}

var compressedTags = map[uint16]string{
	0x02: "Microsoft ADPCM", 0x11: "IMA ADPCM", 0x31: "GSM 6.10", 0x50: "MPEG", 0x55: "MP3", 0xff: "AAC",
}

// waveFormat is what the fmt chunk says, as far as it matters here.
type waveFormat struct {
	rateHz   int
	channels int
	encoding Encoding
}

// rawFormat is the chunk's fields; sub and validBits differ from tag and bits in the extensible form.
type rawFormat struct {
	tag, sub        uint16
	channels, align int
	rateHz          uint32
	bits, validBits int
}

func (h *header) readFormat(c chunk) (*waveFormat, error) {
	raw, err := h.readRawFormat(c)
	if err != nil {
		return nil, err
	}
	if raw.channels == 0 {
		return nil, h.formatError(c, 2, "0 channels", "1 or more", fetchMend)
	}
	if raw.rateHz < 1 || raw.rateHz > maxRateHz {
		return nil, h.formatError(c, 4, fmt.Sprintf("a rate of %d Hz", raw.rateHz),
			fmt.Sprintf("1 to %d Hz", maxRateHz), fetchMend)
	}
	encoding, err := h.encodingOf(c, raw)
	if err != nil {
		return nil, err
	}
	if want := raw.channels * encoding.Bytes(); raw.align != want {
		return nil, h.formatError(c, 12, fmt.Sprintf("%d bytes a frame", raw.align),
			fmt.Sprintf("%d for %d channels of %d bits", want, raw.channels, raw.bits), convertMend)
	}
	return &waveFormat{rateHz: int(raw.rateHz), channels: raw.channels, encoding: encoding}, nil
}

func (h *header) readRawFormat(c chunk) (rawFormat, error) {
	const plainBytes, extensibleBytes = 16, 40
	body := make([]byte, min(c.sizeBytes, extensibleBytes))
	if err := h.readAt(body, c.bodyOffset); err != nil {
		return rawFormat{}, err
	}
	if len(body) < plainBytes {
		return rawFormat{}, h.formatError(c, -4, fmt.Sprintf("a size of %d bytes", len(body)), "16 or more", fetchMend)
	}
	u16 := func(at int) uint16 { return binary.LittleEndian.Uint16(body[at:]) }
	raw := rawFormat{
		tag: u16(0), sub: u16(0), channels: int(u16(2)), rateHz: binary.LittleEndian.Uint32(body[4:]),
		align: int(u16(12)), bits: int(u16(14)), validBits: int(u16(14)),
	}
	if raw.tag != tagExtensible {
		return raw, nil
	}
	if len(body) < extensibleBytes {
		return rawFormat{}, h.formatError(c, -4, fmt.Sprintf("a size of %d bytes", len(body)),
			"40 for the extensible format", convertMend)
	}
	if !bytes.Equal(body[26:40], subformatTail) {
		return rawFormat{}, h.formatError(c, 24, fmt.Sprintf("the subformat % x", body[24:40]),
			"that of PCM, IEEE float, A-law or µ-law", convertMend)
	}
	raw.sub = u16(24)
	if valid := int(u16(18)); valid != 0 { // 0: not stated
		raw.validBits = valid
	}
	return raw, nil
}

// encodingOf names the storage. Integers stand left-justified in the least whole number of bytes,
// the rest zero (Multimedia Programming Interface 1.0, data format of the PCM samples; mmreg.h says
// the same of valid bits), so their full scale is the container's and the valid bits need no care.
func (h *header) encodingOf(c chunk, raw rawFormat) (Encoding, error) {
	if raw.validBits > raw.bits {
		return 0, h.formatError(c, 18, fmt.Sprintf("%d valid bits", raw.validBits),
			fmt.Sprintf("at most the container's %d", raw.bits), convertMend)
	}
	switch raw.sub {
	case tagPCM:
		if bytes := (raw.bits + 7) / 8; bytes >= 1 && bytes <= 4 {
			return Uint8 + Encoding(bytes-1), nil
		}
		return 0, h.formatError(c, 14, fmt.Sprintf("integers of %d bits", raw.bits), "8, 16, 24 or 32", convertMend)
	case tagFloat:
		switch raw.bits {
		case 32:
			return Float32, nil
		case 64:
			return Float64, nil
		}
		return 0, h.formatError(c, 14, fmt.Sprintf("floats of %d bits", raw.bits), "32 or 64", convertMend)
	case tagALaw, tagMuLaw:
		if raw.bits == 8 {
			return ALaw + Encoding(raw.sub-tagALaw), nil
		}
		return 0, h.formatError(c, 14, fmt.Sprintf("A-law or µ-law of %d bits", raw.bits), "8", convertMend)
	}
	found := fmt.Sprintf("the format tag 0x%04x", raw.sub)
	if name, ok := compressedTags[raw.sub]; ok {
		found = "sound compressed as " + name
	}
	return 0, h.formatError(c, 0, found, "integer PCM (1), float (3), A-law (6) or µ-law (7)", convertMend)
}
