// WAVE files built field by field for the tests, after the layouts' published descriptions:
// Multimedia Programming Interface and Data Specifications 1.0 (RIFF, fmt, data), New Multimedia
// Data Types and Data Techniques (smpl, fact), mmreg.h and RFC 2361 (WAVEFORMATEXTENSIBLE),
// EBU Tech 3306 (RF64, ds64).

package wav

import (
	"bytes"
	"encoding/binary"
	"errors"
	"strings"
	"testing"
)

// le joins fields, numbers little-endian.
func le(fields ...any) []byte {
	var out []byte
	for _, field := range fields {
		if text, ok := field.(string); ok {
			field = []byte(text)
		}
		var err error
		if out, err = binary.Append(out, binary.LittleEndian, field); err != nil {
			panic(err)
		}
	}
	return out
}

// sized is a chunk that declares size, whatever its body holds; no pad byte.
func sized(id string, size uint32, body ...any) []byte { return le(id, size, le(body...)) }

// padded is a proper chunk.
func padded(id string, body ...any) []byte {
	content := le(body...)
	out := sized(id, uint32(len(content)), content)
	if len(content)%2 != 0 {
		out = append(out, 0)
	}
	return out
}

func riff(chunks ...[]byte) []byte {
	body := bytes.Join(chunks, nil)
	return le("RIFF", uint32(4+len(body)), "WAVE", body)
}

func plainFormat(tag uint16, channels, rateHz, bits int) []byte {
	align := channels * ((bits + 7) / 8)
	return padded("fmt ", tag, uint16(channels), uint32(rateHz), uint32(rateHz*align), uint16(align), uint16(bits))
}

func extensibleFormat(sub uint16, channels, rateHz, bits, validBits int) []byte {
	align := channels * bits / 8
	return padded("fmt ", uint16(0xFFFE), uint16(channels), uint32(rateHz), uint32(rateHz*align),
		// extra bytes, valid bits, front left and right
		uint16(align), uint16(bits), uint16(22), uint16(validBits), uint32(3),
		sub, "\x00\x00\x00\x00\x10\x00\x80\x00\x00\xaa\x00\x38\x9b\x71")
}

// samplerChunk has key and fraction as in smpl, and forward loops of {start, end}.
func samplerChunk(key, fraction uint32, loops ...[2]uint32) []byte {
	body := le(uint32(0), uint32(0), uint32(20833), key, fraction, uint32(0), uint32(0), uint32(len(loops)), uint32(0))
	for i, loop := range loops {
		body = append(body, le(uint32(i), uint32(0), loop[0], loop[1], uint32(0), uint32(0))...)
	}
	return padded("smpl", body)
}

func ds64Chunk(formBytes, dataBytes, samples uint64, table ...any) []byte {
	return padded("ds64", formBytes, dataBytes, samples, uint32(len(table)/2), le(table...))
}

func rf64(id string, chunks ...[]byte) []byte {
	return le(id, uint32(0xFFFFFFFF), "WAVE", bytes.Join(chunks, nil))
}

func readInfo(data []byte) (Info, error) {
	return ReadInfo(bytes.NewReader(data), int64(len(data)), "take.wav")
}

func newFile(t testing.TB, data []byte) *File {
	t.Helper()
	f, err := NewFile(bytes.NewReader(data), int64(len(data)), "take.wav")
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// wantFormatError checks that err is a *FormatError at the place, naming the file and a mend.
func wantFormatError(t *testing.T, err error, chunk string, offset int64, found string) {
	t.Helper()
	var format *FormatError
	if !errors.As(err, &format) {
		t.Errorf("error %v, want a *FormatError", err)
		return
	}
	if format.Path != "take.wav" || format.Chunk != chunk || format.Offset != offset ||
		!strings.Contains(format.Found, found) {
		t.Errorf("error %q: chunk %q, byte %d; want chunk %q, byte %d, found %q", err, format.Chunk, format.Offset,
			chunk, offset, found)
	}
	if format.Expected == "" || format.Mend == "" || !strings.HasPrefix(err.Error(), "take.wav: ") {
		t.Errorf("error %q lacks the file, what was expected or the mend", err)
	}
}
